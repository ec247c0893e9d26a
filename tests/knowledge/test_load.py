"""Loading a base: everything that is wrong is said at once, each with its place."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from diagnose.knowledge import marked
from diagnose.knowledge.reading.load import MOST_KEPT, BrokenRules, load, read, read_texts
from tests.small import REST, SCALES, problems, small

ROOT = Path(__file__).resolve().parents[2]


def test_the_small_base_is_sound() -> None:
    """The base that the other tests stand on has no problem."""
    assert len(small().causes) == 4


MISTAKES = [
    ("behind: {lifting: common}", "behind: {liftng: common}", "liftng", "did you mean lifting?"),
    ("of_100: {seen: 27}", "of_100: {sen: 27}", "sen", "did you mean seen?"),
    ("strength: barely,\n         because: clean", "strength: barly,\n         because: clean", "barly", "barely?"),
    ("speaks: for, strength: barely", "speaks: fro, strength: barely", "fro", "for?"),
    ("remedies: {relay: 60, renew: 90}", "remedies: {rely: 60, renew: 90}", "rely", "relay?"),
    ("payer: owner, when", "payer: ownr, when", "ownr", "did you mean owner?"),
    ("when: {care: given}, because: he", "when: {caar: given}, because: he", "caar", "care?"),
    ("prevention: Pull along the edge.", "preventoin: Pull along the edge.", "preventoin", "prevention?"),
    ("minutes: 5,", "minutes: five,", "five", "must be a number"),
    ("says: gapes, usual: 16", "says: gapes, usual: 26", "add up to 110", ""),
    ("name: Lifting,", "name: 12,", "12", "put it in quotes"),
    ("of_100: {under 10: 28}", "of_100: {under 11: 28}", "no bin 'under 11'", "did you mean under 10?"),
    ("of_100: {18 and over: 2}", "of_100: {above 18: 2}", "no bin 'above 18'", "'18 and over'"),
    ("of_100: {gapes: 90}", "of_100: {gapes: 100}", "leave nothing for 'closed'", "give 0"),
    ("of_100: {gapes: 90}", "of_100: {gapes: 90, closed: 20}", "add up to 110", "lower them"),
    ("of_100: {gapes: 90}", "of_100: {gapes: 90, closed: 2}", "add up to 92", "make it 100"),
    ("of_100: {gapes: 90}", "of_100: {gapes: most}", "'most'", "nor the word rest"),
    ("of_100: {gapes: 90}", "of_100: {gapes: 190}", "190", "from 0 to 100"),
    ("of_100: {gapes: 90}", "of_100: {gapes: rest}", "no answer of cut has a number", "give one"),
    ("{check: cut, of_100: {gapes: 90}", "{check: cot, of_100: {gapes: 90}", "no check and no measure is called 'cot'", "cut?"),
    ("because: pull lines,", "at: [bumps], because: pull lines,", "'bumps'", "does not lie behind"),
    ("18 and over: 2}", "under 10: 2}", "named twice in this row", "keep one"),
    ("{dirt: not_found, cut: gapes}, speaks", "{cut: gapes}, speaks", "a row says this", "{check: cut, of_100: {gapes: …}"),
    ("{dirt: not_found, cut: gapes}, speaks", "{panel_c: {under: 11}}, speaks", "bins of panel_c end at 10, 18", "11"),
    ("    remedies: {relay: 70,", "    ruled_out_when: [{when: {lines: none}, because: x, source: memory}]\n    remedies: {relay: 70,", "a row says this", "{none: 0}"),
    ("strength: barely,\n         because: clean", "strength: implied,\n         because: clean", "rest", "of_100"),
    ("where: doors,", "where: doors, shows: {lines: sean},", "no answer 'sean'", "seen?"),
    ("where: doors,", "where: doors, shows: {panel_c: cold},", "a symptom shows answers in words", "panel_c"),
    ("where: doors,", "where: doors, usual: {lines: {seen: 60, none: 60}},", "add up to 120", "lower them"),
    ("cautions: [blade], source: common-practice}", "cautions: [blad], source: common-practice}", "blad", "blade?"),
    ("source: common-practice}\n      - {check: lines", "source: astm_f99}\n      - {check: lines", "astm_f99", "source"),
    ("{when: {adhesive: dirty}, because: dirt on it", "{when: {dirt: found}, because: dirt on it", "rests on itself", "dirt"),
    ("mends: [Edges, bumps]", "mends: [Edgs, bumps]", "Edgs", "did you mean Edges?"),
    ("id: solvent_left", "id: pulled", "stands twice", "pulled"),
    ("id: solvent_left", "id: Solvent-Left", "no id", "underscores"),
    ("lines: none}, because: wet", "lines: {under: 3}}, because: wet", "has answers, not a number", ""),
    ("{dirt: not_found, cut: gapes}, speaks", "{panel_c: cold, cut: gapes}, speaks", "is a number", "under"),
    ("when: {dirt: not_found, cut: gapes}", "when: {dirt: gone, cut: gapes}", "finding", "not_found"),
    ("{check: lines, of_100: {seen: 27}", "{check: adhesive, of_100: {wet: 27}", "same group", ""),
    ("name: Relief cut,", "name: Relief cut, ordered: [gapes, clsed],", "clsed", "did you mean closed?"),
]  # fmt: skip


@pytest.mark.parametrize(("right", "wrong", "names", "helps"), MISTAKES)
def test_a_mistake_is_named_with_its_place_and_what_helps(
    right: str, wrong: str, names: str, helps: str
) -> None:
    """One slip in a sound file gives a problem that names it, near where it stands."""
    assert REST.count(right) >= 1
    text = REST.replace(right, wrong, 1)
    line = text[: text.index(wrong)].count("\n") + 1

    found = problems(text)

    assert found
    assert any(names in p.sentence and helps in p.sentence for p in found), found
    near = [abs(p.spot.line - line) for p in found if names in p.sentence]
    assert min(near) <= 4


def test_five_mistakes_in_two_files_are_all_told_at_once(tmp_path: Path) -> None:
    """Nothing stops at the first mistake, nor at the first file."""
    (tmp_path / "scales.yaml").write_text(SCALES)
    broken = REST
    for right, wrong, *_ in (MISTAKES[2], MISTAKES[7], MISTAKES[8]):
        broken = broken.replace(right, wrong, 1)
    (tmp_path / "a.yaml").write_text(broken)
    (tmp_path / "b.yaml").write_text("sources:\n  - id: x\n    id: y\ncauses: 5\n")

    reading = read(tmp_path)

    assert reading.base is None
    said = "\n".join(map(str, reading.problems))
    for part in ("barly", "preventoin", "five", "b.yaml:3:5", "stands here twice"):
        assert part in said


LAYERS = {
    "a key that stands twice": ("name: Lifting,", "name: Lifting, name: Rising,", "stands here twice"),
    "a word that is not allowed": ("strength: barely,\n         because: clean", "strength: barly,\n         because: clean", "barly"),
    "a key that is not known": ("tool: log, minutes: 3,", "tool: log, minuts: 3, minutes: 3,", "minuts"),
    "a name that no entry has": ("when: {care: given}, because: he", "when: {caar: given}, because: he", "caar"),
    "shares that do not add up": ("says: gapes, usual: 16", "says: gapes, usual: 26", "add up to 110"),
    "a row that cannot be": ("of_100: {solvent: 89}", "of_100: {solvent: 100}", "leave nothing for 'other'"),
}  # fmt: skip


def test_mistakes_of_every_kind_in_one_file_are_told_at_once() -> None:
    """A doubled key, a word, a key, a name, shares and a row: none hides another."""
    text = REST
    for right, wrong, _ in LAYERS.values():
        assert right in text, right
        text = text.replace(right, wrong, 1)

    found = problems(text)

    said = "\n".join(map(str, found))
    assert [kind for kind, (*_, names) in LAYERS.items() if names not in said] == [], said
    assert len(found) == len(LAYERS), said


OUR_OWN = """
causes:
  - id: sign_left_on
    name: Sign left on
    plainly: A sign stayed on the film.
    origin: aftercare
    mechanism: It cannot dry.
    behind: {liftng: occasional}
    shows:
      - {check: cut, of_100: {gapes: 100}, because: it gapes, source: common-practice}
      - {check: care, of_100: {yes: 9}, because: he had it, because: he had one,
         source: common-practice}
    remedies: {relay: sixty}
    responsibility: {payer: owner, because: it was put on later}
    prevention: Take it off.
    source: common-practice
"""
BOMB = "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n"


def test_six_mistakes_in_one_cause_and_the_file_beside_it_are_told_at_once() -> None:
    """A name, a row, a doubled key, a guessed word, a number as a word, aliases that grow."""
    texts = {"all.yaml": REST, "scales.yaml": SCALES, "bomb.yaml": BOMB, "our_own.yaml": OUR_OWN}

    told = [str(problem) for problem in read_texts(texts).problems]

    assert [line.split(": ")[0] for line in told] == [
        "bomb.yaml:1:4",
        "our_own.yaml:8:14",
        "our_own.yaml:10:22",
        "our_own.yaml:11:32",
        "our_own.yaml:11:61",
        "our_own.yaml:13:16",
    ]
    said = ("aliases", "did you mean lifting?", "leave nothing for 'closed'", "no answer 'yes'", "'because' stands here twice", "'sixty' must be a number")  # fmt: skip
    assert all(words in line for words, line in zip(said, told, strict=True)), told


def test_what_stands_in_a_file_that_cannot_be_read_is_not_told_as_unknown() -> None:
    """A tab in one file is that file's mistake; what refers to its entries is none."""
    symptoms, rest = REST.split("cautions:\n", 1)
    texts = {"symptoms.yaml": f"{symptoms}\t- x\n", "rest.yaml": f"cautions:\n{rest}"}

    told = [str(p) for p in read_texts({**texts, "scales.yaml": SCALES}).problems]

    assert len(told) == 1
    assert told[0].startswith("symptoms.yaml:")


@cache
def told(text: str) -> frozenset[str]:
    """The sentences about a text, without their guesses; each text is read once."""
    return frozenset(p.sentence.split(" (did you mean")[0] for p in problems(text))


@pytest.mark.xdist_group("two_mistakes")
@pytest.mark.parametrize("one", range(len(MISTAKES)))
def test_two_mistakes_tell_nothing_that_neither_tells_alone(one: int) -> None:
    """What follows from a mistake already told is not told as a mistake of its own."""
    right, wrong, *_ = MISTAKES[one]
    alone = told(REST.replace(right, wrong, 1))
    pairs = 0
    for right_too, wrong_too, *_ in MISTAKES:
        both = REST.replace(right, wrong, 1)
        if right_too not in both or right_too == right:
            continue
        other = told(REST.replace(right_too, wrong_too, 1))
        found = told(both.replace(right_too, wrong_too, 1))
        assert found, (wrong, wrong_too)
        assert found <= alone | other, (wrong, wrong_too, found - alone - other)
        pairs += 1
    assert pairs > len(MISTAKES) / 2


def test_an_entry_without_its_parts_costs_the_others_nothing() -> None:
    """A cause that lacks what it must have is told; what refers to it is not told as unknown."""
    text = REST.replace("id: adhesive,", "id: adhesive, minutes: none_at_all,", 1)
    text = text.replace("minutes: none_at_all,", "minutes: five,")

    found = [p.sentence for p in problems(text)]

    assert found
    assert not any("called 'adhesive'" in sentence for sentence in found), found


ODD_FILES = [
    ("", "the file is empty"),
    ("# only a comment\n", "the file is empty"),
    ("- a\n- b\n", "the file must be keys with values"),
    ("symptoms: 5\n", "'symptoms' must be a list"),
    ("symptoms: [5]\n", "an entry of 'symptoms' must be keys with values"),
    ("symptom: []\n", "did you mean symptoms?"),
    ("just text", "the file must be keys with values"),
]


@pytest.mark.parametrize(("text", "sentence"), ODD_FILES)
def test_an_odd_file_is_an_ordinary_problem(text: str, sentence: str) -> None:
    """Empty files, lists and texts where a mapping belongs are problems, not crashes."""
    found = read_texts({"odd.yaml": text, "scales.yaml": SCALES}).problems

    assert any(sentence in p.sentence for p in found), found


def test_a_file_that_is_no_text_is_a_problem(tmp_path: Path) -> None:
    """Bytes that are no UTF-8 are named with the file."""
    (tmp_path / "scales.yaml").write_bytes(b"\xff\xfe\x00")

    assert "UTF-8" in read(tmp_path).problems[0].sentence


def test_a_folder_without_rules_says_so(tmp_path: Path) -> None:
    """An empty folder raises the one problem there is."""
    with pytest.raises(BrokenRules, match="no rule file"):
        load(tmp_path)


def test_the_version_follows_the_content() -> None:
    """Any change of a rule file changes the version; reading twice does not."""
    first, second = small().version, small().version

    assert first == second
    assert small(REST + "\n# a remark\n").version != first


def test_a_base_kept_as_json_is_the_same_base(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second load parses no YAML, and is equal in all parts; places are still found."""
    first = load(ROOT / "rules", tmp_path)
    (kept,) = tmp_path.iterdir()
    with monkeypatch.context() as patch:
        patch.setattr(marked, "read", None)
        second = load(ROOT / "rules", tmp_path)

    assert second == first
    assert second.places.of("causes", "pulled_to_edge") == first.places.of(
        "causes", "pulled_to_edge"
    )
    assert kept.name.startswith(first.version)


@pytest.mark.parametrize("content", [b"", b"{", b"{}", b"[1]", b'{"causes": [{}]}'])
def test_a_damaged_cache_is_passed_over(tmp_path: Path, content: bytes) -> None:
    """What lies there broken is read anew from the rules and put right."""
    rules, cache = tmp_path / "rules", tmp_path / "cache"
    rules.mkdir()
    (rules / "small.yaml").write_text(REST, encoding="utf-8")
    (rules / "scales.yaml").write_text(SCALES, encoding="utf-8")
    base = load(rules, cache)
    (kept,) = cache.iterdir()
    whole = kept.read_bytes()
    kept.write_bytes(content)

    assert load(rules, cache) == base
    assert kept.read_bytes() == whole


def test_a_cache_stays_small(tmp_path: Path) -> None:
    """Whoever saves a rule many times an hour does not fill the disk: the oldest bases go."""
    rules, cache = tmp_path / "rules", tmp_path / "cache"
    rules.mkdir()
    (rules / "scales.yaml").write_text(SCALES, encoding="utf-8")
    most = 0
    for save in range(MOST_KEPT + 3):
        (rules / "small.yaml").write_text(f"{REST}# {save}\n", encoding="utf-8")
        base = load(rules, cache)
        most = max(most, len(list(cache.iterdir())))

    assert most == MOST_KEPT
    assert any(kept.name.startswith(base.version) for kept in cache.iterdir())


def test_a_base_that_other_code_found_sound_is_read_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stricter program looks at everything again; nobody has to remember to say so."""
    load(ROOT / "rules", tmp_path)
    monkeypatch.setattr("diagnose.caches.code", lambda rooms: "changed")
    monkeypatch.setattr(marked, "read", None)

    with pytest.raises(TypeError):
        load(ROOT / "rules", tmp_path)


def test_every_rule_file_tells_editors_its_schema() -> None:
    """The first line of each file leads to the schema."""
    for path in sorted((ROOT / "rules").rglob("*.yaml")):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("# yaml-language-server: $schema="), path
        assert (path.parent / first.split("=", 1)[1]).resolve() == ROOT / "rules" / "schema.json"


def test_places_lead_to_the_entry(base) -> None:  # type: ignore[no-untyped-def]
    """A cause and its sign can be found in the files."""
    spot = base.places.of("causes", "pulled_to_edge", "signs", 0)

    line = (ROOT / "rules" / spot.file).read_text(encoding="utf-8").splitlines()[spot.line - 1]
    assert line.lstrip().startswith("- when")
