"""A text as clauses of words, each brought to the one form that stands for all that mean the same.

A clause is what stands between two stops. Nothing is understood across a stop, so a comma ends
what a 'no' denies and what belongs to a phrase.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.knowledge.model import Wording
from diagnose.knowledge.words.spelling import Spelling
from diagnose.knowledge.words.stem import stem

_TOKEN = re.compile(
    r"\s-\s|\d+(?:[.,]\d+)?|\b[a-z](?:/[a-z])+\b|\bw/|[^\W\d_]+(?:['’][^\W\d_]+)*|°\s?[CFcf]\b|[%°½¼¾\"″]|[^\w\s]|\n",
    re.IGNORECASE,
)
_STOP = re.compile(r"\s-\s|[.,;:!?()\[\]\n–—]")
_SAYS = re.compile(r"[^\W_]|[°%½¼¾\"″]")
SHORT = 4
"""Letters under which a unit of time is written short, with a point after it perhaps."""

NOT = "not"
"""What every word that denies becomes."""


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a text: where it stands, as it was written, and what it means.

    `meant` is the canonical stem, `kind` what it is a kind of (a decal is film), else ''; a guess
    of a misspelt word is `guessed`.
    """

    start: int
    end: int
    text: str
    meant: str
    kind: str = ""
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Clause:
    """The words between two stops, where they stand in the text, and the stop that ends them."""

    words: tuple[Word, ...]
    meant: tuple[str, ...]
    start: int
    end: int
    stop: str


class Vocabulary:
    """The words of a rule base, and what means the same."""

    def __init__(self, wording: Wording) -> None:
        self._wording = wording
        self._stems: dict[str, str] = {}
        self._parts: dict[str, tuple[tuple[str, ...], ...]] = {}

    def clauses(self, text: str, spelling: Spelling | None = None) -> tuple[Clause, ...]:
        """The clauses of a text; fillers are left out, several words of one meaning are one.

        With a `spelling` a misspelt word is what it stands for.
        """
        found = []
        start = 0
        for parted, end, stop in self._parted(text):
            words = tuple(self._joined([_mended(w, spelling) for w in parted]))
            if words:
                found.append(Clause(words, tuple(w.meant for w in words), start, end, stop))
            start = end + len(stop)
        return tuple(found)

    def meant(self, phrase: str) -> tuple[str, ...]:
        """What the words of a phrase mean, stops left out."""
        return tuple(word for part in self.parts(phrase) for word in part)

    def parts(self, phrase: str) -> tuple[tuple[str, ...], ...]:
        """What the words of each clause of a phrase mean."""
        if phrase not in self._parts:
            self._parts[phrase] = tuple(clause.meant for clause in self.clauses(phrase))
        return self._parts[phrase]

    def written(self, stems: Container[str]) -> Mapping[str, str]:
        """The words met so far, as they were written, that have one of some stems."""
        return {word: stem for word, stem in self._stems.items() if stem in stems}

    def stem(self, word: str) -> str:
        """The stem of a word; a form that its ending does not show is known by the rules."""
        found = self._stems.get(word)
        if found is None:
            plain = self._wording.forms.get(word)
            # A form that is its own is left as it is: a pressing is not what was pressed.
            alone = word if plain == word else stem(word)
            found = self._stems[word] = alone if plain in (None, word) else self.stem(plain)
        return found

    # parting

    def _parted(self, text: str) -> Iterator[tuple[list[Word], int, str]]:
        """The words before each stop, where the stop begins, and the stop."""
        words: list[Word] = []
        for found in _TOKEN.finditer(text):
            token = found[0].casefold().replace("’", "'")
            if found[0] == "." and words and self._cut_short(words[-1], found.start()):
                continue
            if token in self._stops or _STOP.fullmatch(token):
                yield words, found.start(), found[0]
                words = []
            elif token not in self._fillers and _SAYS.match(token):
                words += self._spelled_out(found, token)
        yield words, len(text), ""

    def _cut_short(self, word: Word, stop: int) -> bool:
        """Whether a point belongs to a word written short: 'mo.', '14 wks.'."""
        return word.end == stop and word.text.casefold() in self._units

    def _spelled_out(self, found: re.Match[str], token: str) -> Iterator[Word]:
        """The word, or the words that it is written short for."""
        for part in self._short.get(token, (token,)):
            yield Word(found.start(), found.end(), found[0], self._word(part))

    def _word(self, token: str) -> str:
        if token in self._no or token.endswith("n't"):
            return NOT
        return self.stem(token.removesuffix("'s"))

    def _joined(self, words: Sequence[Word]) -> Iterator[Word]:
        """Words with each run of several that means one thing put together."""
        at = 0
        stems = [w.meant for w in words]
        while at < len(words):
            size, meant = self._longest(stems, at)
            run = words[at : at + size]
            guessed = any(w.guessed for w in run)
            kind = self._kinds.get(meant, "")
            yield Word(run[0].start, run[-1].end, run[0].text, meant, kind, guessed)
            at += size

    def _longest(self, stems: Sequence[str], at: int) -> tuple[int, str]:
        for size in range(min(self._reach.get(stems[at], 0), len(stems) - at), 0, -1):
            meant = self._same.get(tuple(stems[at : at + size]))
            if meant:
                return size, meant
        return 1, stems[at]

    # what the rules say

    @cached_property
    def _stops(self) -> frozenset[str]:
        return frozenset(self._wording.stops)

    @cached_property
    def _short(self) -> Mapping[str, Sequence[str]]:
        return {short: words.split() for short, words in self._wording.short.items()}

    @cached_property
    def _units(self) -> frozenset[str]:
        """Units of time as they are written short, with their plural."""
        short = {unit for unit in self._wording.days if len(unit) < SHORT}
        return frozenset(short | {f"{unit}s" for unit in short})

    @cached_property
    def _fillers(self) -> frozenset[str]:
        return frozenset(self._wording.fillers)

    @cached_property
    def _no(self) -> frozenset[str]:
        return frozenset(self._wording.no)

    @cached_property
    def little(self) -> frozenset[str]:
        """The small words beside which order matters."""
        return frozenset(self.stem(word) for word in self._wording.little)

    @cached_property
    def no_further(self) -> frozenset[str]:
        """The small words past which a 'no' does not reach: 'will not stick on bare plastic'."""
        return frozenset(self.stem(word) for word in self._wording.no_further)

    @cached_property
    def _same(self) -> Mapping[tuple[str, ...], str]:
        """For each run of stems what stands for it."""
        found: dict[tuple[str, ...], str] = {}
        for group in self._wording.same:
            name = "_".join(self._stems_of(group[0]))
            found |= {self._stems_of(words): name for words in group}
        for words in (w for its in self._wording.kinds.values() for w in its):
            found.setdefault(self._stems_of(words), "_".join(self._stems_of(words)))
        for words in self._wording.not_no:
            found[self._stems_of(words)] = "_".join(self._stems_of(words))
        return found

    @cached_property
    def _kinds(self) -> Mapping[str, str]:
        return {
            word: self._one(kind)
            for kind, its in self._wording.kinds.items()
            for word in map(self._one, its)
        }

    def _one(self, words: str) -> str:
        stems = self._stems_of(words)
        return self._same.get(stems, "_".join(stems))

    def is_entry(self, words: str) -> bool:
        """Whether some words, and no fewer of them, are listed as meaning one thing."""
        stems = self._stems_of(words)
        return len(stems) == len(words.split()) and stems in self._same

    @cached_property
    def words(self) -> frozenset[str]:
        """Every stem that the rules give a meaning to."""
        wording = self._wording
        said = (*wording.counts, *wording.days, *wording.months, *wording.unsure, *wording.perhaps)
        return frozenset(s for run in self._same for s in run) | stems_in(self, said)

    @cached_property
    def _reach(self) -> Mapping[str, int]:
        """How many words the longest run has that begins with a stem."""
        found: dict[str, int] = {}
        for run in self._same:
            found[run[0]] = max(len(run), found.get(run[0], 0))
        return found

    def _stems_of(self, words: str) -> tuple[str, ...]:
        return tuple(w.meant for part, _, _ in self._parted(words) for w in part)


def _mended(word: Word, spelling: Spelling | None) -> Word:
    """The word as it was meant; what is more than one slip away is a guess."""
    meant = spelling.near(word.text.casefold(), word.meant) if spelling else None
    return replace(word, meant=meant.stem, guessed=meant.slips > 1) if meant else word


def stems_in(vocabulary: Vocabulary, texts: Iterable[str]) -> frozenset[str]:
    """The stems of every word in some texts."""
    words = {w.casefold() for text in texts for w in re.findall(r"[^\W\d_]+", text)}
    return frozenset(vocabulary.stem(word) for word in words)
