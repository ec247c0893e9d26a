"""A case to practise on: what came in, what was found, and the three things to do with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from diagnose.dialogue.search import SearchItem
from diagnose.dialogue.words import how_done, place_words
from diagnose.practice import wording
from diagnose.practice.session.session import Decision, NotNow, Session, offered, remedies_offered
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.terminal.finder import Finder
from diagnose.terminal.frame import Drawn, Listed
from diagnose.terminal.picture import Picture
from diagnose.terminal.practice.belief import BeliefScreen
from diagnose.terminal.practice.frame import PracticeFrame
from diagnose.terminal.widgets import Choice, Choices, ShareBars, Words

LOOK, BELIEVE, COMMIT = "+look", "+believe", "+commit"

NO_REMEDY = "no remedy yet"


class CaseScreen(PracticeFrame):
    """One case under way; `given` are the percents that were said last."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,m", "close", show=False),
        Binding("l", "look", show=False),
        Binding("b", "believe", show=False),
        Binding("c", "commit", show=False),
        Binding("d", "drawing", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("l", "Check", "look"),
        ("b", "Believe", "believe"),
        ("c", "Commit", "commit"),
        ("d", "Drawing", "drawing"),
        ("m", "Menu", "close"),
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.given: Mapping[str, float] = {}
        self._said = ""

    def head(self) -> str:
        """The complaint and the grade; in an exam its number too."""
        item = self.session.item
        exam = self.room.exam
        done = sum(a.exam == exam.id for a in self.desk.progress.attempts) if exam else 0
        number = f"Exam {done + 1}/{len(exam.items)} · " if exam else ""
        return f"{number}{place_words(self.room.base, item.symptom, item.panel)} · {item.grade}"

    def body(self) -> Iterable[Widget]:
        """The three acts, over what is known; beside it the drawing and the belief."""
        base, session = self.room.base, self.session
        with Horizontal(id="body"):
            with Vertical(id="main"):
                yield Choices(
                    Words(id="said", classes="note"),
                    Choice("Do a check", LOOK, key="1"),
                    Choice("Say what you believe", BELIEVE, key="2"),
                    Choice("Commit: cause, first remedy, payer", COMMIT, key="3"),
                    Words(id="found", classes="note"),
                    Words(["As it came in:", *wording.opening(base, session.item)], classes="note"),
                )
            with Vertical(id="beside"):
                yield Picture(session.item.symptom)
                yield ShareBars("What you believe", [], id="stands")
        yield Words(id="lead")

    def on_mount(self) -> None:
        """Show how it stands."""
        super().on_mount()
        self.show()

    def show(self) -> None:
        """Show what was found and what is believed."""
        base, session = self.room.base, self.session
        found = [*wording.looked(base, session)]
        listed = self.query_one("#found", Words)
        listed.say(["Found so far:", *(f"  {line}" for line in found)])
        listed.display = bool(session.looks)
        said = self.query_one("#said", Words)
        said.say(self._said)
        said.display = bool(self._said)
        belief = session.belief
        ranked = sorted((belief or {}).items(), key=lambda pair: -pair[1])[:6]
        bars = [(cause_name(base, cause), share) for cause, share in ranked]
        self.query_one("#stands", ShareBars).show(bars)
        words = wording.belief_words(base, belief, 2) if belief else "nothing said yet"
        self.query_one("#lead", Words).say(f"You believe: {words}")
        self.query_one(Choices).fit()

    def change(self, session: Session) -> None:
        """Keep the session as it now stands, then show it."""
        self.session = session
        self.desk.keep(session, self.room.exam_id)
        self.show()

    def chosen(self, choice: Choice) -> None:
        """One of the three acts."""
        acts = {LOOK: self.action_look, BELIEVE: self.action_believe, COMMIT: self.action_commit}
        acts[choice.value]()

    def action_look(self) -> None:
        """Choose a check."""
        self.app.push_screen(CheckScreen(self))

    def looked_at(self, check: str) -> None:
        """A check was chosen: the record answers."""
        base = self.room.base
        try:
            session = self.session.look(base, check)
        except NotNow as error:
            self.app.notify(f"{error}.", markup=False)
            return
        answer = wording.look_words(base, session.item, check)
        self._said = f"= {base.checks[check].name}: {answer}"
        self.change(session)
        self.query_one(Choices).scroll_home(animate=False)

    def action_believe(self) -> None:
        """Say what is believed."""
        self.app.push_screen(BeliefScreen(self, self.believed))

    def believed(self, session: Session) -> None:
        """A belief was said."""
        self.change(session)

    def action_commit(self) -> None:
        """Decide, after saying what is believed now."""
        self.app.push_screen(BeliefScreen(self, self._decide))

    def _decide(self, session: Session) -> None:
        self.change(session)
        belief = session.belief or {}
        causes = sorted(belief, key=lambda cause: -belief[cause])
        named = [(c, cause_name(self.room.base, c)) for c in causes]
        self.app.push_screen(PickScreen("Which cause is it?", named, self._remedy))

    def _remedy(self, cause: str) -> None:
        base = self.room.base
        offered_here = remedies_offered(base, self.session.item)
        named = [("", NO_REMEDY), *((r, base.remedies[r].name) for r in offered_here)]
        self.app.push_screen(
            PickScreen("Which remedy first?", named, lambda remedy: self._payer(cause, remedy))
        )

    def _payer(self, cause: str, remedy: str) -> None:
        named = [(p.id, p.name) for p in self.room.base.payers.values()]

        def decide(payer: str) -> None:
            self.room.decided(self.session.commit(Decision(cause, remedy, payer)))

        self.app.push_screen(PickScreen("Who pays?", named, decide))

    def action_drawing(self) -> None:
        """The drawing as large as the screen allows, with its sentence."""
        symptom = self.session.item.symptom
        title = self.room.base.symptoms[symptom].name
        self.app.push_screen(Drawn(title, [], symptom))


class CheckScreen(PracticeFrame):
    """Choose a check by any word of it; the marked one says how it is done and what it costs."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "close"), ("↑↓", "Move", "next"))

    def __init__(self, case: CaseScreen) -> None:
        super().__init__()
        self._case = case

    def head(self) -> str:
        """What is to be done."""
        return "Which check?"

    def body(self) -> Iterable[Widget]:
        """The search on one side, the marked check on the other, the choice below."""
        base = self.room.base
        names = wording.by_place(base, offered(self.desk.judge, self._case.session))
        items = [self._item(name) for name in names]
        with Horizontal(id="body"):
            yield Finder(items, "Type a word, or move with ↑↓", "No check of that word.")
            with Vertical(id="shown"):
                yield Picture(id="picture")
                yield Words(id="told", classes="note")
        yield Choice("Do it", "take", key="⏎", id="take")

    def _item(self, name: str) -> SearchItem:
        check = self.room.base.checks[name]
        words = f"{check.name} {check.ask} {name}".casefold()
        line = wording.check_line(self.room.base, name)
        return SearchItem(name, line, wording.PLACES[check.place], words)

    def first(self) -> None:
        """The search has the keys."""

    @on(Finder.Marked)
    def marked(self, message: Finder.Marked) -> None:
        """Show what is marked."""
        check = self.room.base.checks[message.item.id] if message.item else None
        take = self.query_one("#take", Choice)
        take.display = check is not None
        picture = self.query_one(Picture)
        picture.show(check.id if check else "")
        picture.display = picture.drawn
        lines: Sequence[str] = ()
        if check:
            cautions = [f"! {self.room.base.cautions[c].say}" for c in check.cautions]
            lines = (check.ask, *cautions, *how_done(check))
            take.say(f"Do it: {check.name}")
        told = self.query_one("#told", Words)
        told.say(lines)
        told.set_class(not picture.drawn, "alone")

    @on(Finder.Taken)
    def taken(self, message: Finder.Taken) -> None:
        """Do it."""
        self.dismiss()
        self._case.looked_at(message.item.id)

    def chosen(self, choice: Choice) -> None:
        """Do the marked one."""
        self.query_one(Finder).take()

    def action_next(self) -> None:
        """Mark the next one."""
        self.query_one(Finder).action_list("cursor_down")


class PickScreen(PracticeFrame):
    """Pick one of several."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "close"),)

    def __init__(
        self, ask: str, named: Sequence[tuple[str, str]], then: Callable[[str], None]
    ) -> None:
        super().__init__()
        self._ask = ask
        self._named = named
        self._then = then

    def head(self) -> str:
        """The question."""
        return self._ask

    def body(self) -> Iterable[Widget]:
        """One choice for each."""
        yield Choices(
            *(
                Choice(words, value, key=str(n) if n < 10 else "")
                for n, (value, words) in enumerate(self._named, 1)
            )
        )

    def chosen(self, choice: Choice) -> None:
        """It is this one."""
        self.dismiss()
        self._then(choice.value)
