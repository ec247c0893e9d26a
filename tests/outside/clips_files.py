"""Rule bases of a CLIPS distribution: read, run as they are, and carried over into the format.

`auto.clp` asks about a car that does not run and names a repair; `animal.clp` keeps 84 rules and 46
questions as facts and comes with a checker of its own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from diagnose.knowledge.base import Base
from tests.outside import carried
from tests.outside.files import as_id

Form = str | list["Form"]
Path_ = tuple[tuple[str, str], ...]
"""The questions that were asked with their answers, in order."""


def forms(text: str) -> list[Form]:
    """The forms of a CLIPS file; comments and quotes gone."""
    tokens = re.findall(r'"[^"]*"|;[^\n]*|[()]|[^\s()";]+', text)
    stack: list[list[Form]] = [[]]
    for token in tokens:
        if token == "(":
            stack.append([])
        elif token == ")":
            done = stack.pop()
            stack[-1].append(done)
        elif not token.startswith(";"):
            stack[-1].append(token.strip('"'))
    return stack[0]


def named(text: str, head: str) -> Iterator[list[Form]]:
    """The forms that begin with a word, at any depth."""
    waiting: list[Form] = list(forms(text))
    while waiting:
        form = waiting.pop(0)
        if isinstance(form, list):
            if form and form[0] == head:
                yield form
            waiting = [*form, *waiting]


def modern(text: str) -> str:
    """The file for CLIPS 6.4: two functions have other names there."""
    return text.replace("(member ", "(member$ ").replace("(nth ", "(nth$ ")


@dataclass(frozen=True, slots=True)
class Run:
    """One way through a program: what it asked and heard, and what it concluded."""

    asked: Path_
    concluded: str


def runs(start: Callable[[Callable[[str, Sequence[str]], str]], str]) -> list[Run]:
    """Every way through a program that asks: `start(ask)` runs it once."""
    found: list[Run] = []
    waiting: list[tuple[str, ...]] = [()]
    while waiting:
        script = waiting.pop()
        heard: list[tuple[str, str]] = []

        def ask(question: str, allowed: Sequence[str], script: tuple[str, ...] = script) -> str:
            place = len(heard)  # noqa: B023
            answer = script[place] if place < len(script) else allowed[0]
            if place >= len(script):
                begun = tuple(a for _, a in heard)  # noqa: B023
                waiting.extend((*begun, other) for other in allowed[1:])
            heard.append((question, answer))  # noqa: B023
            return answer

        found.append(Run((), start(ask)))
        found[-1] = Run(tuple(heard), found[-1].concluded)
    return found


def run_auto(clips: ModuleType, path: Path) -> list[Run]:
    """Every way through the car-starting program, by CLIPS itself."""
    source = modern(path.read_text())

    def start(ask: Callable[[str, Sequence[str]], str]) -> str:
        environment = clips.Environment()

        def heard(question: Any, *allowed: Any) -> Any:
            words = [str(a) for a in allowed if str(a) not in ("y", "n")]
            return clips.Symbol(ask(str(question), words))

        environment.define_function(heard, "heard")
        text = re.sub(r"\(deffunction ask-question.*?\n\n", ASKS, source, flags=re.DOTALL)
        _load(environment, text)
        environment.reset()
        environment.run()
        return next(str(f[0]) for f in environment.facts() if f.template.name == "repair")

    return runs(start)


ASKS = "(deffunction ask-question (?question $?allowed) (heard ?question (expand$ ?allowed)))\n\n"


def run_animal(clips: ModuleType, path: Path) -> list[Run]:
    """Every way through the animal program, by CLIPS itself."""
    source = modern(path.read_text()).replace(
        "(bind ?reply (read))", "(bind ?reply (heard ?variable))"
    )

    def start(ask: Callable[[str, Sequence[str]], str]) -> str:
        environment = clips.Environment()
        environment.define_function(
            lambda variable: clips.Symbol(ask(str(variable), ("yes", "no"))), "heard"
        )
        _load(environment, source)
        environment.reset()
        environment.run()
        return next(
            str(f["value"])
            for f in environment.facts()
            if f.template.name == "variable" and str(f["name"]) == "type.animal"
        )

    return runs(start)


def validated(clips: ModuleType, path: Path, planted: str = "") -> list[str]:
    """What the animal program's own checker says, with some facts planted."""
    environment = clips.Environment()
    said: list[str] = []

    class Listens(clips.Router):  # type: ignore[misc, name-defined]
        """Takes what the program prints."""

        def query(self, name: str) -> bool:
            return name in ("stdout", "t")

        def write(self, name: str, message: str) -> None:
            said.append(message)

    environment.add_router(Listens("listens", 30))
    text = modern(path.read_text()).replace("(focus VALIDATE CHAIN ASK)", "(focus VALIDATE)")
    _load(environment, text.replace("(goal (variable type.animal))", GOAL + planted))
    environment.reset()
    environment.run()
    return [line for line in "".join(said).splitlines() if line.strip()]


GOAL = "(goal (variable type.animal))\n"


def _load(environment: Any, text: str) -> None:
    """Load a program from text, one construct after the other."""
    depth, begin, quoted, comment = 0, 0, False, False
    for place, letter in enumerate(text):
        if comment:
            comment = letter != "\n"
        elif letter == '"':
            quoted = not quoted
        elif quoted:
            continue
        elif letter == ";":
            comment = True
        elif letter == "(":
            begin = place if depth == 0 else begin
            depth += 1
        elif letter == ")":
            depth -= 1
            if depth == 0:
                environment.build(text[begin : place + 1])


# The car-starting program, carried over.


def auto_base(path: Path) -> Base:
    """The program as a rule base: a check for each question, a cause for each repair.

    A question's conditions become those under which the check makes sense, and a repair is ruled
    out where they fail. The repair by default, a mechanic's, is the cause that is not listed.
    """
    rules = list(named(path.read_text(), "defrule"))
    questions = dict(filter(None, map(_question, rules)))
    needs = {name: condition for name, (_, condition) in questions.items()}
    findings = [_either(name, ways) for name, ways in needs.items() if len(ways) > 1]
    checks = []
    for name, (answers, ways) in questions.items():
        share = 100 / len(answers)
        makes_sense = {"asked_when": _reached(name, ways)} if ways else {}
        checks.append(carried.check(name, dict.fromkeys(answers, share), **makes_sense))
    given = {name: answers for name, (answers, _) in questions.items()}
    causes = [_repair(fact, value, text, needs, given) for fact, value, text in _repairs(rules)]
    return carried.base("trouble", checks=checks, findings=findings, causes=_merged(causes))


Ways = list[dict[str, str]]


def _question(rule: list[Form]) -> tuple[str, tuple[tuple[str, ...], Ways]] | None:
    """The check that a rule asks, its answers, and the ways to come to it."""
    arrow = rule.index("=>")
    asserted = rule[arrow + 1]
    if not (isinstance(asserted, list) and asserted[0] == "assert"):
        return None
    fact = asserted[1]
    if not (isinstance(fact, list) and isinstance(fact[1], list)):
        return None
    asks = fact[1]
    answers = ("yes", "no") if asks[0] == "yes-or-no-p" else tuple(map(str, asks[2:]))
    return as_id(str(fact[0])), (tuple(map(as_id, answers)), _ways(rule[2:arrow]))


def _ways(left: Sequence[Form]) -> Ways:
    ways: Ways = [{}]
    for part in left:
        if not isinstance(part, list) or part[0] in ("not", "declare"):
            continue
        if part[0] == "or":
            ways = [w | more for w in ways for option in part[1:] for more in _ways([option])]
        elif part[0] == "and":
            ways = [w | more for w in ways for more in _ways(part[1:])]
        else:
            ways = [w | {as_id(str(part[0])): as_id(str(part[1]))} for w in ways]
    return [] if ways == [{}] else ways


def _either(name: str, ways: Ways) -> dict[str, Any]:
    rules = [carried.when(way) for way in ways]
    return {"id": f"comes_to_{name}", "name": name, "rules": rules}


def _reached(name: str, ways: Ways) -> dict[str, Any]:
    return {f"comes_to_{name}": "found"} if len(ways) > 1 else dict(ways[0])


def _repairs(rules: Sequence[list[Form]]) -> Iterator[tuple[str, str, str]]:
    for rule in rules:
        arrow = rule.index("=>")
        asserted = rule[arrow + 1]
        ways = _ways(rule[2:arrow])
        if ways and isinstance(asserted, list) and isinstance(asserted[1], list):
            fact = asserted[1]
            if fact[0] == "repair" and isinstance(fact[1], str) and not fact[1].startswith("?"):
                ((name, value),) = ways[0].items()
                yield name, value, fact[1]


def _repair(
    fact: str, value: str, text: str, needs: dict[str, Ways], given: Mapping[str, Sequence[str]]
) -> dict[str, Any]:
    """A cause that is ruled out by another answer, or where its question is never come to."""
    only, never = {fact: value}, []
    waiting = [fact]
    for name in waiting:
        ways = needs[name]
        if len(ways) > 1:
            never.append(carried.when({f"comes_to_{name}": "not_found"}))
        elif ways:
            only |= ways[0]
            waiting += list(ways[0])
    shows = [
        carried.shown(name, {other: 0 for other in given[name] if other != one})
        for name, one in only.items()
    ]
    return carried.cause(as_id(text), "trouble", shows=shows, ruled_out_when=never)


def _merged(causes: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for each in causes:
        assert each["id"] not in found, "two rules name one repair"
        found[each["id"]] = each
    return list(found.values())


# The animal program, carried over.


def animal_base(
    path: Path,
    findings_too: Sequence[dict[str, Any]] = (),
    checks_too: Sequence[dict[str, Any]] = (),
) -> Base:
    """The program as a rule base: findings for what is concluded on the way, causes for animals."""
    facts = [form for form in next(named(path.read_text(), "deffacts")) if isinstance(form, list)]
    asked = {as_id(str(_slot(q, "variable")[0])) for q in facts if q[0] == "question"}
    rules = [(_slot(r, "if"), _slot(r, "then")) for r in facts if r[0] == "rule"]
    ways: dict[str, list[dict[str, str]]] = {}
    for condition, (variable, _, value) in rules:
        told = _told(list(map(str, condition)), asked)
        ways.setdefault(_finding(str(variable), str(value)), []).append(told)
    findings = [
        {"id": name, "name": name, "rules": [carried.when(way) for way in its]}
        for name, its in ways.items()
    ]
    animals = [name for name in ways if name.startswith("is_type_animal_")]
    causes = [
        carried.cause(
            name.removeprefix("is_type_animal_"),
            "animal",
            signs=[carried.when({name: "found"}, speaks="for", strength="decisive")],
            ruled_out_when=[carried.when({name: "not_found"})],
        )
        for name in animals
    ]
    checks = [carried.check(name, {"yes": 50, "no": 50}) for name in sorted(asked)]
    return carried.base(
        "animal",
        checks=[*checks, *checks_too],
        findings=[*findings, *findings_too],
        causes=causes,
    )


def _slot(form: list[Form], name: str) -> list[Form]:
    for part in form[1:]:
        if isinstance(part, list) and part and part[0] == name:
            return part[1:]
    return []


def _told(words: list[str], asked: set[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for at in range(0, len(words), 4):
        variable, _, value = words[at : at + 3]
        name = as_id(variable)
        found |= {name: value} if name in asked else {_finding(variable, value): "found"}
    return found


def _finding(variable: str, value: str) -> str:
    return f"is_{as_id(variable)}_{as_id(value)}"
