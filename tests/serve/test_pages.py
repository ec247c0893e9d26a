"""A callback on pages, form by form: nothing is lost, and nothing counts twice."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import StoredJournal
from diagnose.knowledge.model.values import OneOfThese
from diagnose.measures.quantity import Quantity
from diagnose.records.case.journal import EventKind
from diagnose.records.store.store import Store
from tests.serve.visiting import journal, only_case, served, serving, visitor
from tests.terminal.workshop import clock, reasoner


def kinds(tmp_path: Path) -> list[str]:
    """What happened to the only case, in order."""
    return [event.kind.value for event in journal(tmp_path)]


async def test_a_whole_callback(tmp_path: Path) -> None:
    """From the start through own words, symptom, place and questions to the report."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        await phone.send("words", text="it has come away <b>up there</b>")
        assert phone.at == "confirm"
        assert "&lt;b&gt;up there" in phone.text
        await phone.send("confirm")
        assert phone.at == "symptom"
        await phone.open(f"{phone.case}/symptom/edge_lifting")
        assert "A length of edge stands off" in phone.words
        await phone.send("symptom", symptom="edge_lifting")
        assert phone.at == "place"
        await phone.open(f"{phone.case}/place?panel=roof")
        assert "Here: Roof" in phone.words
        await phone.send("place", panel="roof")
        await phone.send("ask/film_finish", answer="gloss")
        assert phone.at == "ask/age_months"
        assert 'inputmode="decimal"' in phone.text
        assert "months" in phone.words
        await phone.send("ask/age_months", number="6")
        await phone.send("ask/thumb_relay", answer="creeps_up")
        await phone.send("go", do="conclude")
        assert phone.at == "done"
        assert "Film pulled toward the edge" in phone.words
        assert "Now: " in phone.words
        assert "100%" not in phone.words
        for reader in ("customer", "file", "maker"):
            await phone.open(f"{phone.case}/report/{reader}")
            assert phone.status == 200
            assert "Edge lifting" in phone.words
    case = only_case(tmp_path)

    assert case.circumstances == {"film_finish": "gloss", "age_months": Quantity(6, 6)}
    assert case.complaints[0].answers == {"thumb_relay": "creeps_up"}
    assert case.facts["told"] == "it has come away <b>up there</b>"
    assert kinds(tmp_path)[-1] == "concluded"


async def test_the_body_that_was_told_of_is_the_one_to_be_touched(tmp_path: Path) -> None:
    """Who tells of a trailer finds a trailer, with its front wall; others are a touch away."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        await phone.send("words", text="it is on the box trailer, have a look please")
        await phone.send("confirm")
        await phone.send("symptom", symptom="tunnelling")
        assert phone.at == "place"
        assert "aria-current=true>Trailer<" in phone.text
        await phone.open(f"{phone.case}/place?body=trailer&panel=front_wall")
        assert "Here: Front wall" in phone.words
        await phone.open(f"{phone.case}/place?body=camper")
        assert "aria-current=true>Camper<" in phone.text


async def test_leaving_at_once_leaves_no_case(tmp_path: Path) -> None:
    """Looking at the list and at the places begins nothing."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        await phone.send("skip")
        await phone.send("symptom", symptom="edge_lifting")
        assert phone.at == "place"
        await phone.open("/")
        assert "Go on" not in phone.words
    with Store.open(tmp_path / "records.sqlite3") as store:
        assert store.ids() == ()


async def test_a_double_tap_counts_once(tmp_path: Path) -> None:
    """The same form twice at the same moment, for an answer, a complaint and a new case."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        words = phone.sheet("words", text="something is wrong with it, I do not know what")
        await asyncio.gather(phone.hand_in(words), phone.hand_in(words))
        await phone.send("confirm")
        await phone.send("symptom", symptom="edge_lifting")
        place = phone.sheet("place", panel="roof")
        await asyncio.gather(phone.hand_in(place), phone.hand_in(place))
        await phone.open(f"{phone.case}/")
        answer = phone.sheet("ask/film_finish", answer="gloss")
        await asyncio.gather(phone.hand_in(answer), phone.hand_in(answer))
        undo = (await phone.open(f"{phone.case}/back")).sheet("go", do="undo")
        await asyncio.gather(phone.hand_in(undo), phone.hand_in(undo))

    assert kinds(tmp_path) == ["opened", "noted", "noted", "complained", "answered", "undone"]


async def test_a_form_sent_again_after_a_restart_counts_once(tmp_path: Path) -> None:
    """The answer came through, the reply did not; the phone sends it again to the new server."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        sheet = phone.sheet("ask/film_finish", answer="gloss")
        begun = phone.client.session.cookie_jar.filter_cookies(running.make_url("/"))
        await phone.hand_in(sheet)
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        cookies = {name: morsel.value for name, morsel in begun.items()}
        phone.client.session.cookie_jar.update_cookies(cookies, running.make_url("/"))
        await phone.hand_in(sheet)
        assert phone.at == "ask/age_months"

    assert kinds(tmp_path).count("answered") == 1


async def test_what_was_chosen_survives_a_restart(tmp_path: Path) -> None:
    """A symptom whose place is still to be told, and words that were confirmed."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        await phone.send("words", text="it is odd all over, have a look please")
        await phone.send("confirm")
        await phone.send("symptom", symptom="tunnelling")
        path = phone.case
        known = phone.client.session.cookie_jar.filter_cookies(running.make_url("/"))
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        cookies = {name: morsel.value for name, morsel in known.items()}
        phone.client.session.cookie_jar.update_cookies(cookies, running.make_url("/"))
        await phone.open(f"{path}/")
        assert phone.at == "place"
        assert "Tunnelling" in phone.words


async def test_back_takes_nothing_back_unless_told(tmp_path: Path) -> None:
    """Back shows what was entered last; leaving it, changing it and taking it back are apart."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.send("ask/film_finish", answer="gloss")
        await phone.open(f"{phone.case}/back")
        assert "Finish of the film: gloss" in phone.words
        assert only_case(tmp_path).circumstances == {"film_finish": "gloss"}
        await phone.open(f"{phone.case}/ask/film_finish")
        assert "Answered: gloss" in phone.words
        await phone.send("ask/film_finish", answer="matte")
        assert only_case(tmp_path).circumstances == {"film_finish": "matte"}
        await phone.open(f"{phone.case}/back")
        await phone.send("go", do="undo")
        assert only_case(tmp_path).circumstances == {"film_finish": "gloss"}


async def test_an_old_page_with_another_answer_is_not_lost(tmp_path: Path) -> None:
    """The browser's back shows the old page; another answer on it is shown, not passed over."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        first = phone.sheet("ask/film_finish", answer="gloss")
        other = phone.sheet("ask/film_finish", answer="matte")
        await phone.hand_in(first)
        await phone.hand_in(other)
        assert phone.at == "ask/film_finish"
        assert "counts once" in phone.words
        assert "matte chosen here" in phone.words
        await phone.send("ask/film_finish", answer="matte")

    assert only_case(tmp_path).circumstances == {"film_finish": "matte"}


async def test_a_page_that_is_out_of_date_says_so(tmp_path: Path) -> None:
    """A symptom or a place from a page gone back to begins no second complaint."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        await phone.send("words", text="it is odd all over, have a look please")
        await phone.send("confirm")
        symptom = phone.sheet("symptom", symptom="tunnelling")
        await phone.send("symptom", symptom="edge_lifting")
        place = phone.sheet("place", panel="bonnet")
        await phone.send("place", panel="roof")
        await phone.hand_in(symptom)
        assert "counts once" in phone.words
        await phone.hand_in(place)
        assert phone.at == "back"
        path, pairs = phone.sheet("symptom", symptom="tunnelling")
        await phone.hand_in((path, pairs))
        assert "out of date" in phone.words

    assert [(c.symptom, c.panel) for c in only_case(tmp_path).complaints] == [
        ("edge_lifting", "roof")
    ]


async def test_two_phones_on_one_case(tmp_path: Path) -> None:
    """Each sees the other's answers; the same question answered twice asks which holds."""
    async with (
        served(serving(tmp_path, shared=True)) as running,
        visitor(running) as one,
        visitor(running) as two,
    ):
        await one.begin()
        await two.open(f"{one.case}/")
        late = two.sheet("ask/film_finish", answer="matte")
        await one.send("ask/film_finish", answer="gloss")
        await two.open(f"{one.case}/answers")
        assert "gloss" in two.words
        await two.hand_in(late)
        assert "Another phone answered this meanwhile" in two.words
        assert "matte chosen here" in two.words
        await two.send("ask/age_months", number="6")
        await one.open(f"{one.case}/")

    assert one.at == "ask/thumb_relay"
    assert only_case(tmp_path).circumstances == {
        "film_finish": "gloss",
        "age_months": Quantity(6, 6),
    }


async def test_another_program_on_the_same_case(tmp_path: Path) -> None:
    """What is entered on a terminal meanwhile is there on the next page."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        with Store.open(tmp_path / "records.sqlite3") as store:
            (case_id,) = store.ids()
            Dialogue(reasoner(), StoredJournal(store, case_id, clock())).answer(
                "film_finish", "gloss"
            )
        await phone.open(f"{phone.case}/")

    assert phone.at == "ask/age_months"


def _closed(tmp_path: Path, cause: str) -> None:
    """Two closed cases of this shop, in which the edge crept up."""
    now = clock()
    with Store.open(tmp_path / "records.sqlite3") as store:
        for _ in range(2):
            case = store.begin(now())
            store.append(case, now(), EventKind.COMPLAINED, key="edge_lifting", text="roof")
            given = {"key": "thumb_relay", "answer": "creeps_up", "complaint": 1}
            store.append(case, now(), EventKind.ANSWERED, **given)
            data = {"cause": cause, "confirmed_by": "taken off", "cost": 70.0}
            store.append(case, now(), EventKind.CLOSED, complaint=1, data=data)


@pytest.mark.parametrize("shared", [True, False])
async def test_cases_like_this_one(tmp_path: Path, shared: bool) -> None:
    """How they ended, beside the answers and in the report; of others' cases only where shared."""
    _closed(tmp_path, "dirty_edge")
    async with served(serving(tmp_path, shared=shared)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.send("ask/film_finish", answer="gloss")
        await phone.send("ask/age_months", number="6")
        await phone.send("ask/thumb_relay", answer="creeps_up")
        between = "ended as edge not cleaned; the answers weigh for" in phone.words
        await phone.open(f"{phone.case}/like")
        like, set_in = phone.words, '<p class="under">Alike: Press it down' in phone.text
        await phone.send("go", do="conclude")
        ended = phone.words

    told = "edge not cleaned, cost 70.00. Alike: Press it down (it creeps up again)"
    assert between is shared
    assert (told in like) is shared
    assert set_in is shared
    assert ("No closed case" in like) is not shared
    assert (told in ended) is shared


async def test_every_symptom_is_made_ready_before_anybody_asks(tmp_path: Path) -> None:
    """So that nobody waits for it; who comes meanwhile is served in between."""
    server = serving(tmp_path, ahead=True)
    async with served(server) as running, visitor(running) as phone:
        await phone.begin()
        assert phone.at == "ask/film_finish"
        await server.made_ready()

        assert all(server.desk.is_warm(symptom) for symptom in reasoner().base.symptoms)


async def test_who_asks_while_the_pages_are_stopped_is_told(tmp_path: Path) -> None:
    """A phone that looks for news just then gets a sentence, and the log no traceback."""
    server = serving(tmp_path)
    async with served(server) as running, visitor(running) as phone:
        await phone.begin()
        server.desk.close()
        await phone.open(f"{phone.case}/")

        assert phone.status == 503
        assert "Nothing of it was kept" in phone.words


async def test_a_number_in_every_way(tmp_path: Path) -> None:
    """A comma, a range, a wrong one with the reason and what was typed, and none at all."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.send("ask/film_finish", do="unknown")
        await phone.send("ask/age_months", number="900")
        assert "outside 0 to 240" in phone.words
        assert 'value="900"' in phone.text
        await phone.send("ask/age_months", number="1,200")
        assert "write 1200 or 1.200" in phone.words
        await phone.send("ask/age_months", number="")
        assert "No number" in phone.words
        await phone.send("ask/age_months", number="6", upto="8,5")

    assert only_case(tmp_path).circumstances["age_months"] == Quantity(6, 8.5)


async def test_one_of_several_answers_by_ticking(tmp_path: Path) -> None:
    """Who cannot tell two answers apart ticks both; nothing ticked is told."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.open(f"{phone.case}/ask/film_finish?several")
        await phone.send("ask/film_finish", do="ticked")
        assert "Nothing is ticked" in phone.words
        await phone.open(f"{phone.case}/ask/film_finish?several")
        await phone.send("ask/film_finish", answer=["gloss", "matte"])

    assert only_case(tmp_path).circumstances["film_finish"] == OneOfThese(("gloss", "matte"))


async def test_what_does_not_fit_is_shown_at_once(tmp_path: Path) -> None:
    """Two answers that clash lead to a page with both, each to be changed."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        for _ in range(8):
            if not phone.at.startswith("ask/"):
                break
            check = phone.at.removeprefix("ask/")
            given = {"thumb_relay": "holds", "adhesive": "wet"}.get(check)
            await phone.send(phone.at, **({"answer": given} if given else {"do": "unknown"}))
        assert phone.at == "doubt/wet_and_holds"
        assert "Wet adhesive holds nothing down" in phone.words
        await phone.open(f"{phone.case}/ask/adhesive")
        await phone.send("ask/adhesive", answer="clean")
        assert "do not fit" not in phone.words


async def test_it_is_rather_another_symptom(tmp_path: Path) -> None:
    """An answer that tells a look-alike offers it; the answers stay."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.send("ask/film_finish", answer="gloss")
        for _ in range(8):
            check = phone.at.removeprefix("ask/")
            if check == "reach":
                break
            await phone.send(phone.at, do="aside")
        await phone.send("ask/reach", answer="corner")
        assert phone.at == "doubt/corner_lifting"
        await phone.send("go", do="rather", symptom="corner_lifting")

    assert only_case(tmp_path).complaints[0].symptom == "corner_lifting"


async def test_another_complaint_and_back_to_the_first(tmp_path: Path) -> None:
    """The first is concluded; both are listed, and either can be gone on with.

    Who begins another and goes back is at the first again, and nothing was begun.
    """
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.send("ask/film_finish", answer="gloss")
        await phone.send("go", do="another")
        assert phone.at == "words"
        assert 'name="number" value="1"' in phone.text
        await phone.send("go", do="look", number="1")
        assert phone.at == "done"
        await phone.send("go", do="another")
        assert phone.at == "words"
        await phone.send("words", text="tunnelling")
        await phone.send("place", panel="bonnet")
        await phone.open(f"{phone.case}/answers")
        assert "Complaints of this vehicle" in phone.words
        await phone.send("go", do="look", number="1")
        assert phone.at == "done"

    assert [c.panel for c in only_case(tmp_path).complaints] == ["roof", "bonnet"]


async def test_facts_of_vehicle_and_film(tmp_path: Path) -> None:
    """What changed is kept, a date year first; one that is none is told and stays in its field."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.open(f"{phone.case}/facts")
        await phone.send("facts", vehicle="grey van", laid_on="last spring")
        assert "is no date" in phone.words
        assert 'value="last spring"' in phone.text
        assert only_case(tmp_path).facts == {"vehicle": "grey van"}
        await phone.send("facts", vehicle="grey van", laid_on="14.2.2026")
        assert "Kept." in phone.words

    assert only_case(tmp_path).facts == {"vehicle": "grey van", "laid_on": "2026-02-14"}
    assert sum(e.kind is EventKind.NOTED for e in journal(tmp_path)) == 2


async def test_each_visitor_sees_only_their_own(tmp_path: Path) -> None:
    """A second browser finds an empty start, and no page of the first one's case."""
    async with (
        served(serving(tmp_path)) as running,
        visitor(running) as one,
        visitor(running) as two,
    ):
        await one.begin()
        await two.open("/")
        assert "Go on" not in two.words
        for page in (
            "",
            "ask/film_finish",
            "stands",
            "report/file",
            "file/txt",
            "news",
            "photos",
        ):
            await two.open(f"{one.case}/{page}")
            assert two.status == 404, page
        await two.open("/case/new/")
        path = f"{one.case}/ask/film_finish"
        sheet = [("form", two.token), ("answer", "matte")]
        await two.hand_in((path, sheet))
        assert two.status == 404

    assert only_case(tmp_path).circumstances == {}


async def test_the_script_is_told_where_to_go(tmp_path: Path) -> None:
    """A form sent by the page's script gets the next address, or the reason, as data."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        headers = {"Accept": "application/json"}
        path, pairs = phone.sheet("ask/film_finish", answer="purple")
        wrong = await phone.client.post(path, data=dict(pairs), headers=headers)
        said = await wrong.json()
        path, pairs = phone.sheet("ask/film_finish", answer="gloss")
        right = await phone.client.post(path, data=dict(pairs), headers=headers)
        there = await right.json()
        news = await (await phone.client.get(f"{phone.case}/news")).json()

    assert wrong.status == 422
    assert "gloss" in said["wrong"]
    assert there == {"to": f"{phone.case}/ask/age_months"}
    assert news == {"events": 3}
