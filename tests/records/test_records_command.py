"""The commands on stored cases: what they do, say and return."""

import json
import re
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from PIL import Image

from diagnose.knowledge.base import Base
from diagnose.records.case.journal import Complaint, EventKind, Outcome
from diagnose.records.command import DONE, MISUSE, PROBLEM, Arguments, run
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter
from diagnose.report.pages.photos import Shown, figure, photos_of

PROVED = Outcome("laid_cold", "the log of the bay", cost=60.0)


@pytest.fixture
def shop(path: Path, at: datetime) -> Path:
    """Records with an open case of two complaints and a closed one."""
    with Store.open(path) as store:
        first = store.begin(at)
        store.append(first, at, EventKind.NOTED, key="title", text="Door return lifts")
        store.append(first, at, EventKind.COMPLAINED, key="edge_lifting", text="front_door_left")
        store.append(first, at, EventKind.COMPLAINED, key="bubbles", text="roof")
        store.append(first, at, EventKind.ANSWERED, key="zone", answer="gap", complaint=1)
        store.set_customer(first, "Ann Example", "PA 12")
        second = store.begin(at)
        store.append(second, at, EventKind.COMPLAINED, key="edge_lifting", text="bonnet")
        said = {"cause": "laid_cold", "probability": 0.9}
        store.append(second, at, EventKind.CONCLUDED, complaint=1, data=said)
        data = {"cause": "laid_cold", "confirmed_by": "log", "held": True}
        store.append(second, at, EventKind.CLOSED, complaint=1, data=data)
    return path


FIRST, SECOND = "2026-03-02-0001", "2026-03-02-0002"


@pytest.fixture
def do(shop: Path, base: Base, at: datetime):
    """Run an action on the shop's records."""

    def done(action: str, *cases: str, **more) -> tuple[int, str]:
        return run(Arguments(action, shop, cases, **more), base, at)

    return done


def test_list_shows_names_and_counts(do) -> None:
    """A line a case, names instead of ids, what is long is cut, and how many."""
    code, text = do("list")

    assert code == DONE
    assert "Edge lifting (Front door, left), Bubble…" in text
    assert text.endswith("2 cases")


def test_a_filter_by_a_word_that_is_nowhere_says_so(do) -> None:
    """Nothing found is said with the reason; a mistake with its nearest neighbour."""
    assert do("list", wanted=Filter(lot="L-9")) == (DONE, "no case\nno case has the lot 'L-9'")
    assert do("list", wanted=Filter(text="zebra")) == (DONE, "no case")
    code, text = do("list", wanted=Filter(symptom="edge_liftin"))
    assert code == MISUSE
    assert text == "'edge_liftin' is no symptom (did you mean edge_lifting?)"
    code, text = do("list", wanted=Filter(month="2026-3"))
    assert (code, text) == (MISUSE, "'2026-3' is no month: write it like 2026-03")


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (Filter(symptom="Edge lifting"), 2),
        (Filter(panel="Bonnet"), 1),
        (Filter(cause="laid  COLD"), 1),
        (Filter(installer="quay print"), 1),
        (Filter(film="FILM A"), 1),
        (Filter(film="film a", installer="Quay Print", month="2026-03", closed=False), 1),
    ],
)
def test_a_filter_takes_names_in_any_case(do, shop, at, wanted: Filter, found: int) -> None:
    """What the rule base calls by a name may be asked for by it; capitals do not matter."""
    with Store.open(shop) as store:
        for key, text in (("film", "film A"), ("installer", "Quay Print")):
            store.append(FIRST, at, EventKind.NOTED, key=key, text=text)
    _, listed = do("list", wanted=wanted, as_json=True)

    assert len(json.loads(listed)) == found


def test_a_case_taken_in_later_stands_under_the_month_it_was_seen_in(
    do, shop: Path, at: datetime
) -> None:
    """The list tells the month that the filter goes by, not the day of the import."""
    with Store.open(shop) as store:
        store.append(FIRST, at, EventKind.NOTED, key="seen_on", text="2025-12-30")
    _, text = do("list", wanted=Filter(month="2025-12"))

    assert re.search(rf"^{FIRST}  2025-12 ", text, re.MULTILINE)
    assert re.search(rf"^{SECOND}  2026-03-02 ", do("list")[1], re.MULTILINE)


def test_part_of_a_name_leads_to_the_whole(do, shop: Path, at: datetime) -> None:
    """Who knows only a part of an installer's name is told the rest."""
    with Store.open(shop) as store:
        store.append(FIRST, at, EventKind.NOTED, key="installer", text="Quay Print")
    _, text = do("list", wanted=Filter(installer="print"))

    assert text == "no case\nno case has the installer 'print' (did you mean Quay Print?)"


def test_list_and_show_as_json(do) -> None:
    """The data forms can be read by another program."""
    _, listed = do("list", as_json=True)
    _, shown = do("show", FIRST, as_json=True)

    assert [case["id"] for case in json.loads(listed)] == [SECOND, FIRST]
    assert json.loads(shown)["complaints"][0]["answers"] == {"zone": "gap"}
    assert "Ann" not in shown


def test_show_tells_all_of_a_case(do) -> None:
    """Facts, answers in words, outcome and customer."""
    code, text = do("show", FIRST)
    assert code == DONE
    for words in ("title: Door return lifts", "Zone: In the gap", "customer: Ann Example PA 12"):
        assert words in text
    _, text = do("show", SECOND)
    assert "cause: Laid cold, confirmed by: log" in text
    assert "remedy: not noted (held)" in text


def test_close_asks_which_complaint_and_then_closes(do, shop: Path) -> None:
    """With two open complaints one must be named; afterwards the other is meant."""
    code, text = do("close", FIRST, outcome=PROVED)
    assert code == MISUSE
    assert "--complaint N" in text
    assert do("close", FIRST, outcome=PROVED, complaint=2)[0] == DONE
    assert do("close", FIRST, outcome=PROVED)[0] == DONE
    with Store.open(shop) as store:
        case = store.case(FIRST)
    assert case.closed
    assert case.complaint(2).outcome == PROVED
    code, text = do("close", FIRST, outcome=PROVED)
    assert code == MISUSE
    assert text.startswith(f"case {FIRST} has no open complaint")


@pytest.mark.parametrize(
    ("outcome", "sentence"),
    [
        (replace(PROVED, cause="laid_col"), "did you mean laid_cold?"),
        (replace(PROVED, also_causes=("dirt",)), "'dirt' is no cause"),
        (replace(PROVED, remedy="relay"), "is no remedy"),
        (replace(PROVED, payer="instaler"), "did you mean installer?"),
        (replace(PROVED, confirmed_by=" "), "--confirmed-by"),
        (replace(PROVED, cause=""), "--cause"),
    ],
)
def test_an_outcome_must_say_what_is_known(do, outcome: Outcome, sentence: str) -> None:
    """A cause without a proof, or a word that is nowhere, closes nothing."""
    code, text = do("close", SECOND, outcome=outcome)

    assert code == MISUSE
    assert sentence in text


def test_a_cause_that_is_not_listed_can_close_a_case(do) -> None:
    """The truth may lie outside the rule base."""
    assert do("close", FIRST, outcome=replace(PROVED, cause="unlisted"), complaint=1)[0] == DONE


def test_reopen(do, shop: Path) -> None:
    """A case that came back is open again, and its first outcome stays in the journal."""
    assert do("reopen", SECOND)[0] == DONE
    with Store.open(shop) as store:
        assert not store.case(SECOND).closed
        assert EventKind.CLOSED in [event.kind for event in store.events(SECOND)]
    assert do("reopen", SECOND) == (MISUSE, f"case {SECOND} has no closed complaint")


def test_export_and_import_bring_everything_over(
    do, shop: Path, base: Base, at: datetime, tmp_path: Path
) -> None:
    """Another shop's records hold the same journals; a second import is nothing new."""
    out, other = tmp_path / "out", tmp_path / "other.sqlite3"
    assert do("export", paths=(out,)) == (DONE, f"2 written to {out}")
    taken = run(Arguments("import", other, paths=(out,)), base, at)
    assert taken == (DONE, "2 new, 0 here already")
    again = run(Arguments("import", other, paths=(out,)), base, at)
    assert again == (DONE, "0 new, 2 here already")
    with Store.open(shop) as one, Store.open(other) as two:
        assert set(one.ids()) == set(two.ids())
        for case_id in one.ids():
            assert one.events(case_id) == two.events(case_id)
            assert two.customer(case_id) is None


def test_export_leaves_customers_out_unless_asked(do, tmp_path: Path) -> None:
    """Names leave the shop only on purpose."""
    do("export", FIRST, paths=(tmp_path / "a",))
    do("export", FIRST, paths=(tmp_path / "b",), with_customers=True)

    assert "Ann Example" not in (tmp_path / "a" / f"{FIRST}.yaml").read_text()
    assert "Ann Example" in (tmp_path / "b" / f"{FIRST}.yaml").read_text()


def test_export_overwrites_only_when_told(do, tmp_path: Path) -> None:
    """A file that holds something else is left alone and named."""
    target = tmp_path / f"{FIRST}.yaml"
    target.write_bytes(b"my notes \xff")
    code, text = do("export", FIRST, paths=(tmp_path,))
    assert (code, target.read_bytes()) == (PROBLEM, b"my notes \xff")
    assert str(target) in text
    assert do("export", FIRST, paths=(tmp_path,), overwrite=True)[0] == DONE
    assert target.read_text().startswith(f"case: {FIRST}")
    assert do("export", FIRST, paths=(tmp_path,))[0] == DONE


def test_import_takes_the_good_and_names_the_bad(do, shop: Path, tmp_path: Path) -> None:
    """One broken file does not keep the others out; every problem is told with its place."""
    (tmp_path / "good.yaml").write_text(
        "case: good\ncomplaints:\n  - {symptom: bubbles, panel: roof}\n"
    )
    (tmp_path / "bad.yaml").write_text(
        "case: bad\ncomplaints:\n  - {symptom: bubles, panel: rof}\n"
    )
    (tmp_path / "latin.yaml").write_bytes(b"case: \xe9\n")
    names = [tmp_path / f"{name}.yaml" for name in ("good", "bad", "latin", "nothing")]
    code, text = do("import", paths=tuple(names))

    assert code == PROBLEM
    assert text.startswith("1 new, 0 here already")
    for words in ("bad.yaml:3:6", "did you mean bubbles?", "did you mean roof?", "not UTF-8"):
        assert words in text
    assert "nothing.yaml:1:1: cannot be read" in text
    with Store.open(shop) as store:
        assert store.case("good").complaints == (Complaint(1, "bubbles", "roof"),)


def test_import_never_mixes_two_cases_of_one_id(do, tmp_path: Path) -> None:
    """The stored case stays, the file is named."""
    file = tmp_path / "a.yaml"
    file.write_text(f"case: {FIRST}\ncomplaints:\n  - {{symptom: bubbles, panel: roof}}\n")
    code, text = do("import", paths=(file,))

    assert code == PROBLEM
    assert "in these records already, with another journal" in text


def test_a_file_without_journal_is_taken_in_once(
    do, base: Base, shop: Path, tmp_path: Path
) -> None:
    """Importing it again, at another time, is nothing new."""
    file = tmp_path / "a.yaml"
    file.write_text("case: door\ncomplaints:\n  - {symptom: bubbles, panel: roof}\n")
    assert do("import", paths=(file,))[1] == "1 new, 0 here already"
    later = datetime.fromisoformat("2027-01-01T00:00:00+00:00")
    again = run(Arguments("import", shop, paths=(file,)), base, later)

    assert again == (DONE, "0 new, 1 here already")


def test_delete_asks_first(do, shop: Path) -> None:
    """Without --yes it says what would be gone; with it, it is gone."""
    code, text = do("delete", FIRST)
    assert code == MISUSE
    assert "5 entries" in text
    assert do("delete", FIRST, yes=True)[0] == DONE
    with Store.open(shop) as store:
        assert store.ids() == (SECOND,)


def test_photos_go_with_the_case(do, shop: Path, tmp_path: Path) -> None:
    """Added upright beside the file, exported and imported with the case, deleted with it."""
    picture = tmp_path / "bay.png"
    Image.new("RGB", (30, 20), "red").save(picture)
    assert do("photo", FIRST, paths=(picture,), caption="gap", complaint=1)[0] == DONE
    folder = photo_folder(shop)
    (kept,) = folder.iterdir()
    do("export", FIRST, paths=(tmp_path / "out",))
    assert (tmp_path / "out" / "photos" / kept.name).read_bytes() == kept.read_bytes()
    do("delete", FIRST, yes=True)
    assert list(folder.iterdir()) == []
    do("import", paths=(tmp_path / "out",))
    assert [left.name for left in folder.iterdir()] == [kept.name]
    with Store.open(shop) as store:
        assert store.case(FIRST).complaint(1).photos == ((kept.stem, "gap"),)


def test_places_marked_on_a_photo_are_kept_and_shown(
    do, shop: Path, base: Base, at: datetime, tmp_path: Path
) -> None:
    """Marks lie in the journal beside the photo, are told by it, and travel with the case."""
    picture = tmp_path / "bay.png"
    Image.new("RGB", (30, 20), "red").save(picture)
    code, _ = do("photo", FIRST, paths=(picture,), caption="gap", marks=("0.4,0.25", "1, .9"))
    assert code == DONE
    with Store.open(shop) as store:
        added = store.events(FIRST)[-1]
    assert added.data["spots"] == [[0.4, 0.25], [1.0, 0.9]]
    assert "gap, 2 marked places" in do("show", FIRST, journal=True)[1]
    assert f"photo {added.key[:12]} gap" in do("show", FIRST)[1]
    do("export", FIRST, paths=(tmp_path / "out",))
    other = tmp_path / "other.sqlite3"
    run(Arguments("import", other, paths=(tmp_path / "out",)), base, at)
    with Store.open(other) as store:
        assert store.events(FIRST)[-1].data == added.data
    (shown,) = photos_of([added], photo_folder(shop))
    assert isinstance(shown, Shown)
    assert shown.spots == ((0.4, 0.25), (1.0, 0.9))
    assert figure(shown, 1).caption.endswith("gap (2 marked places)")


@pytest.mark.parametrize(
    "mark", ["0.4", "0.4,1.2", "-0.1,0.5", "a,b", "0.1,0.2,0.3", "nan,0.1", ""]
)
def test_a_mark_beside_the_photo_is_refused(do, shop: Path, tmp_path: Path, mark: str) -> None:
    """A place is two shares from 0 to 1, and nothing is kept where one is not."""
    picture = tmp_path / "bay.png"
    Image.new("RGB", (30, 20), "red").save(picture)
    code, text = do("photo", FIRST, paths=(picture,), marks=(mark,))

    assert code == MISUSE
    assert "write --mark 0.4,0.25" in text
    assert not photo_folder(shop).exists()


def test_marks_belong_to_one_photo(do, tmp_path: Path) -> None:
    """With several photos nobody knows which is meant."""
    code, text = do("photo", FIRST, paths=(tmp_path / "a", tmp_path / "b"), marks=("0.5,0.5",))

    assert (code, text) == (
        MISUSE,
        "a mark belongs to one photo: add the marked photo by itself",
    )


def test_the_journal_tells_what_was_known_when(do, shop: Path, at: datetime) -> None:
    """Each entry with its moment and number; what was taken back since says so."""
    with Store.open(shop) as store:
        store.append(FIRST, at, EventKind.UNDONE, undoes=5)
    _, text = do("show", FIRST, journal=True)

    assert "5  2026-03-02 08:30:00 +0000  answered, complaint 1: Zone: In the gap" in text
    assert text.splitlines()[-2].endswith("(taken back since)")
    assert text.splitlines()[-1].endswith("undone: entry 5")
    assert "journal" not in do("show", FIRST)[1]


@pytest.mark.parametrize("width", [40, 80, 132])
def test_lists_and_statistics_fit_the_page(do, shop: Path, at: datetime, width: int) -> None:
    """No line is longer than the terminal is wide."""
    with Store.open(shop) as store:
        for _ in range(2):
            case_id = store.begin(at)
            store.append(
                case_id, at, EventKind.COMPLAINED, key="edge_lifting", text="front_door_left"
            )
            store.append(case_id, at, EventKind.ANSWERED, key="zone", answer="gap", complaint=1)
            data = {"cause": "laid_cold", "confirmed_by": "log", "held": True, "cost": 1234.5}
            store.append(case_id, at, EventKind.CLOSED, complaint=1, data=data)
    assert max(map(len, do("list", width=width)[1].splitlines())) <= width
    wanted = Filter(symptom="edge_lifting")
    for text in (do("statistics", width=width), do("statistics", wanted=wanted, width=width)):
        assert max(map(len, text[1].splitlines())) <= width


def test_a_bad_photo_adds_none(do, shop: Path, tmp_path: Path) -> None:
    """All pictures are read before one is kept."""
    picture, letter = tmp_path / "bay.png", tmp_path / "letter.jpg"
    Image.new("RGB", (30, 20), "red").save(picture)
    letter.write_text("Dear customer")
    code, text = do("photo", FIRST, paths=(picture, letter))

    assert code == MISUSE
    assert text.startswith("letter.jpg is no JPEG")
    with Store.open(shop) as store:
        assert store.case(FIRST).photos == ()
    assert not photo_folder(shop).exists()


def test_customer_is_shown_set_and_forgotten(do) -> None:
    """Kept beside a case, and erased wherever the name stands."""
    assert do("customer", FIRST) == (DONE, "Ann Example PA 12")
    assert do("customer", SECOND) == (DONE, "not known")
    assert do("customer", SECOND, name="ann example")[0] == DONE
    code, told = do("customer", name="Ann Example", erase=True)
    assert code == MISUSE
    assert "--yes does it" in told
    assert f"case {FIRST}, the customer: Ann Example PA 12" in told
    code, told = do("customer", name="Ann Example", erase=True, yes=True)
    assert (code, told.startswith("forgotten in 2 cases, 0 texts")) == (DONE, True)
    code, told = do("customer", name="Ann Example", erase=True, yes=True)
    assert (code, told) == (MISUSE, "nobody of that name or plate stands in these records")
    assert do("customer", erase=True)[0] == MISUSE


def test_statistics_with_shares_signs_and_plots(do, shop: Path, at: datetime) -> None:
    """The page has what was asked for, and a sign that spoke for another cause than the true."""
    with Store.open(shop) as store:
        store.append(SECOND, at, EventKind.ANSWERED, key="zone", answer="gap", complaint=1)
    code, text = do("statistics", wanted=Filter(symptom="edge_lifting"), plots=True)
    assert code == DONE
    for words in (
        "1 closed complaint on 1 vehicle",
        "Zone: in the gap – Gap not cleaned",
        "0 carried, 1 misled",
        "shares of causes",
        "by month",
    ):
        assert words in text
    _, data = do("statistics", as_json=True)
    assert json.loads(data)["calibration"]["count"] == 1


def test_check_and_rescue(do, shop: Path, base: Base, at: datetime, tmp_path: Path) -> None:
    """Sound records are said to be; a damaged file is copied as far as it can be read."""
    assert do("check")[1].endswith("2 cases and 0 photos, all sound")
    with Store.open(shop) as store:
        store._connection.execute("UPDATE events SET text = 'x' WHERE number = 2")
    code, text = do("check")
    assert code == PROBLEM
    assert "event 2" in text
    new = tmp_path / "new.sqlite3"
    code, text = do("rescue", paths=(new,))
    assert code == PROBLEM
    assert "are now in" in text
    assert run(Arguments("check", new), base, at)[0] == DONE


@pytest.mark.parametrize(
    ("action", "cases"),
    [
        ("show", ()),
        ("show", ("nowhere",)),
        ("close", ("nowhere",)),
        ("delete", ("nowhere",)),
        ("photo", (FIRST,)),
        ("import", ()),
        ("export", ()),
        ("rescue", ()),
        ("customer", ()),
    ],
)
def test_what_is_missing_is_said(do, action: str, cases: tuple[str, ...]) -> None:
    """Each action says in one sentence what it needs."""
    code, text = do(action, *cases, outcome=PROVED)

    assert code == MISUSE
    assert text
    assert "\n" not in text


def test_a_damaged_file_ends_every_action_with_a_sentence(do, shop: Path, tmp_path: Path) -> None:
    """Nothing is done on damaged records, and the way out is named."""
    shop.write_bytes(shop.read_bytes()[:9000])
    before = shop.read_bytes()
    for action in ("list", "statistics", "check"):
        code, text = do(action)
        assert code == PROBLEM
        assert "diagnose cases rescue" in text
    assert shop.read_bytes() == before


def test_a_large_shop(path: Path, at: datetime, base: Base, capsys) -> None:
    """A large shop's records list, search and count as a small one's; the times are printed."""
    from tests.records.large import measured

    found = measured(path, at, base, 2_000)

    assert found.listed == 2_000
    assert 0 < found.of_one_lot < 100
    assert found.closed == 1_600
    with capsys.disabled():
        print(f"\n{found.times}")


def test_words_that_found_no_home_are_counted_over_cases(do, shop: Path, at: datetime) -> None:
    """Forms of a word are one; a word that was said twice in a case counts once."""
    assert do("words") == (DONE, "Everything that was said in own words found a home.")
    with Store.open(shop) as store:
        store.append(
            FIRST, at, EventKind.NOTED, key="not_understood", text="it hums\nhumming at speed"
        )
        store.append(SECOND, at, EventKind.NOTED, key="not_understood", text="hummed once")
    code, text = do("words")
    _, data = do("words", as_json=True)

    assert code == DONE
    assert text.splitlines()[0].split() == ["word", "cases", "said", "last"]
    assert json.loads(data)[0]["cases"] == 2
    assert json.loads(data)[0]["word"] in ("hums", "humming", "hummed")
