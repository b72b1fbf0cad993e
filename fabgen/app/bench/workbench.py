"""A job on the bench: its text changed by small edits, read at once, then built and checked in the background."""

from __future__ import annotations

import threading
import time
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import Any

from fabgen.app.bench.board import Board
from fabgen.app.bench.job_form import NAMED, field_form, job_list, naming, table_form
from fabgen.app.bench.papers import make_papers
from fabgen.app.bench.session import Asked, Session
from fabgen.app.bench.typed_value import file_values
from fabgen.app.hands import with_own_images
from fabgen.app.page_server import Stamps, stamps
from fabgen.app.work import WorkedJob, built, planned
from fabgen.checks.rule import graded, merged
from fabgen.documents.bench.bench_scene import bench_scene
from fabgen.documents.page.page_html import Kept
from fabgen.job.errors import InputError, JobError, Path, Problem, describe
from fabgen.job.rack import read_rack
from fabgen.job.reader import Job, read_text
from fabgen.job.tables.definitions import FAMILIES
from fabgen.job.text.safe_file import NotWrittenError
from fabgen.job.text.source import SourceMap
from fabgen.job.text.value_edit import value_at, with_name, with_value, without_table
from fabgen.parts.piece import Piece, made_here

LOOK_EVERY = 0.1
"""Seconds between two looks at the file."""


class RefusedError(Exception):
    """What was asked for cannot be done; the text says why, the job file is as it was."""


class _NewerError(Exception):
    """The text changed again while its job was checked."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A text as read: its number, values, the job where it reads well, and its faults."""

    number: int
    text: str
    raw: Mapping[str, Any]
    job: Job | None
    faults: Sequence[Problem]


class Workbench:
    """One job and its news.

    Args:
        path: the job file.
        folder: where its papers go.
        rack: a rack file, whose stock is used first.
    Raises:
        JobError: the file cannot be read as a text.
    """

    def __init__(self, path: FilePath, folder: FilePath, rack: FilePath | None = None, paper: str = "A4") -> None:
        self.path, self.folder, self.rack, self.paper = path, folder, rack, paper
        self.board = Board()
        self.session = Session(path)
        self._kept = Kept()
        self._origins: dict[str, list[str | int]] = {}
        self._wanted = threading.Event()
        self._making = threading.Lock()
        self.papers: list[str] = []
        self.reading = self._read()

    # -- the text ------------------------------------------------------------------------
    def _read(self) -> Reading:
        number, history = self.session.now
        text = history.text
        raw: Mapping[str, Any] = {}
        job, faults = None, list[Problem]()
        try:
            raw = tomllib.loads(text)
        except (ValueError, RecursionError):
            raw = {}
        try:
            job = self._job(text, raw)
        except JobError as error:
            faults = error.problems
        self.reading = Reading(number, text, raw, job, faults)
        self.board.post("job", {
            "number": number, "text": text, "list": job_list(raw), "undo": history.undoes, "redo": history.redoes,
            "faults": [self._fault(each) for each in faults],
        })  # fmt: skip
        return self.reading

    def _job(self, text: str, raw: Mapping[str, Any]) -> Job:
        """The job in a text.  Raises JobError."""
        header = raw.get("job")
        beside = header.get("rod_ends") if isinstance(header, Mapping) else None
        if isinstance(beside, str) and beside:
            home = self.path.resolve().parent
            if not (home / beside).resolve().is_relative_to(home):
                what = "on the bench no file outside the job's own folder is read"
                raise JobError([Problem(("job", "rod_ends"), what, "a file beside the job", file=str(self.path))])
        return read_text(text, self.path)

    def _fault(self, problem: Problem) -> dict[str, Any]:
        text = self.session.now[1].text if not hasattr(self, "reading") else self.reading.text
        return {"line": problem.line, "at": list(_written_at(text, problem)), "words": self._said(problem)}

    def _said(self, problem: Problem) -> str:
        """As `check` says it; the page is of one file, whose folder is not said."""
        return describe(replace(problem, file=FilePath(problem.file).name))

    def form(self, at: Path) -> dict[str, Any]:
        """A table as a form.  Raises RefusedError."""
        reading = self.reading
        try:
            made = table_form(reading.text, reading.raw, at, reading.job)
        except (KeyError, ValueError, TypeError):
            raise RefusedError("there is no such table in the job as it is now") from None
        return {**made, "number": reading.number}

    def set(self, number: int, at: Path, key: str, typed: str, own_first: bool | None = None) -> Asked | int:
        """Gives a key what was typed into its field.

        Args:
            number: of the text that the page has.
            at: the table.
            key: of it.
            typed: as people write it.
            own_first: what to take where somebody else changed the same lines; None: ask.
        Returns: the places to ask about; where it is done the number of the text as sent.
        Raises:
            RefusedError: the job would not read with it, in the words of `check`; nothing is changed.
            NotWrittenError: the file cannot be written.
        """
        text = self._begun(number)
        place, first = (*at, key), list[str]()
        known = {self._said(each) for each in self._faults_of(text)}
        for value in file_values(typed, field_form(at, key), value_at(text, place)):
            try:
                made = with_value(text, place, value)
            except InputError as fault:
                raise RefusedError(str(fault)) from fault
            if key == "mark" and value is not None:
                made = self._followed(made, text, at)
            said = [words for each in self._faults_of(made) if (words := self._said(each)) not in known]
            if not said:
                word = "taken out" if value is None else "set"
                return self._changed(number, made, f"{' '.join(map(str, self._named(at)))} {key} {word}", own_first)
            first = first or said
        raise RefusedError("\n".join(first[:3]))

    def _followed(self, made: str, text: str, at: Path) -> str:
        """The text with a mark's new name wherever the old one stands for its part.

        Not where a point has the same name: which of both is meant the reader alone knows.
        """
        try:
            before, after = tomllib.loads(text), tomllib.loads(made)
            old, new = (each[str(at[0])][at[1]].get("mark") for each in (before, after))
        except (ValueError, KeyError, IndexError, TypeError, AttributeError):
            return made
        taken = [mark for table in FAMILIES for each in before.get(table, []) if (mark := each.get("mark")) == old]
        if not isinstance(old, str) or not isinstance(new, str) or len(taken) != 1 or old in before.get("points", {}):
            return made
        return with_name(made, old, new, but=("mark", "title", "note"))

    def rewrite(self, number: int, text: str, own_first: bool | None = None) -> Asked | int:
        """Puts a text typed in the text view in the file's place, whether it reads or not.

        Raises NotWrittenError, RefusedError; else as `set`."""
        self._begun(number)
        return self._changed(number, text, "the text", own_first)

    def remove(self, number: int, at: Path) -> Asked | int:
        """Takes a table out.  Raises RefusedError, NotWrittenError."""
        text = self._begun(number)
        if len(at) != 2:
            raise RefusedError("this table is changed key by key")
        try:
            made = without_table(text, str(at[0]), int(at[1]))
        except InputError as fault:
            raise RefusedError(str(fault)) from fault
        return self._changed(number, made, f"{' '.join(map(str, self._named(at)))} deleted", None)

    def depends(self, number: int, at: Path) -> list[str]:
        """What names a table's part, and what would no longer read without it, in the words of `check`.

        Raises RefusedError."""
        text = self._begun(number)
        if len(at) != 2:
            raise RefusedError("this table is changed key by key")
        try:
            made = without_table(text, str(at[0]), int(at[1]))
        except InputError as fault:
            raise RefusedError(str(fault)) from fault
        known = {each.what for each in self._faults_of(text)}
        lost = [self._said(each) for each in self._faults_of(made) if each.what not in known]
        named = self._named(at)[1:]
        return [*(naming(self.reading.raw, at, named[0]) if named else ()), *lost]

    def back(self) -> None:
        """Undoes.  Raises NotWrittenError."""
        self._made_anew(self.session.back)

    def forward(self) -> None:
        """Makes again what was undone.  Raises NotWrittenError."""
        self._made_anew(self.session.forward)

    def _made_anew(self, step: Any) -> None:
        try:
            step()
        except JobError as error:
            raise RefusedError(str(error)) from error
        finally:
            self._again()

    def _begun(self, number: int) -> str:
        text = self.session.text(number)
        if text is None:
            raise RefusedError("this page is of another session: load it again")
        return text

    def _changed(self, number: int, text: str, words: str, own_first: bool | None) -> Asked | int:
        try:
            asked = self.session.change(number, text, words, own_first)
        except JobError as error:
            raise RefusedError(str(error)) from error
        self.board.post("told", "")
        self._again()
        return asked

    def _again(self) -> None:
        self._read()
        self._wanted.set()

    def _faults_of(self, text: str) -> Sequence[Problem]:
        if text == self.reading.text:
            return self.reading.faults
        try:
            raw = tomllib.loads(text)
        except (ValueError, RecursionError):
            raw = {}
        try:
            self._job(text, raw)
        except JobError as error:
            return error.problems
        return []

    def _named(self, at: Path) -> list[str]:
        """A table in words: the tube T3."""
        if at[0] in NAMED or len(at) < 2:
            return [str(at[0])]
        found = self.reading.raw.get(str(at[0]))
        entry = found[int(at[1])] if isinstance(found, list) and int(at[1]) < len(found) else {}
        name = entry.get("mark") or entry.get("name") or int(at[1]) + 1 if isinstance(entry, Mapping) else ""
        return [str(at[0]), str(name)]

    # -- picture and findings ------------------------------------------------------------
    def watch(self) -> None:
        """Takes in what editors save, until the board has ended."""
        before = stamps([self.path])
        waiting: Stamps = before
        while not self.board.ended:
            time.sleep(LOOK_EVERY)
            now = stamps([self.path])
            # A file that is just being saved is looked at once it rests.
            if now != waiting:
                waiting = now
            elif now != before:
                before = now
                try:
                    if self.session.look():
                        self._again()
                        self.board.post(
                            "told", "Somebody else changed the file: what you see is the file as it is now."
                        )
                except JobError as error:
                    self.board.post("told", str(error))

    def build(self) -> None:
        """Builds and checks the newest text again and again, until the board has ended."""
        self._wanted.set()
        while not self.board.ended:
            if not self._wanted.wait(LOOK_EVERY):
                continue
            self._wanted.clear()
            reading = self.reading
            if reading.job is None:
                continue
            try:
                self._built(reading, reading.job)
            except _NewerError:
                continue
            except JobError as error:
                if not self._wanted.is_set():
                    self.board.post(
                        "built", {"number": reading.number, "faults": [self._fault(p) for p in error.problems]}
                    )
            except Exception as error:  # hours of work hang on this going on
                words = f"an error in this program: {type(error).__name__}: {error}; the picture is as it was before"
                self.board.post(
                    "built", {"number": reading.number, "faults": [{"line": None, "at": [], "words": words}]}
                )

    def _built(self, reading: Reading, job: Job) -> None:
        begun = time.perf_counter()
        job = with_own_images(job)
        pieces = built(job)
        self._origins = _origins(job, pieces)
        self.board.post("picture", {
            "number": reading.number, "seconds": round(time.perf_counter() - begun, 3),
            "from": self._origins, **bench_scene(job.definitions, pieces, self._kept),
        })  # fmt: skip
        self.board.post("built", {"number": reading.number, "faults": []})
        if self._wanted.is_set():
            return
        rack = read_rack(self.rack) if self.rack is not None else None
        # What nobody waits for any more is left off between two groups of checks.
        work = planned(job, pieces, rack, None, self._unless_newer)
        self.board.post("findings", {
            "number": reading.number, "seconds": round(time.perf_counter() - begun, 3), **_found(work),
        })  # fmt: skip

    def _unless_newer(self, what: str, share: float) -> None:
        if self._wanted.is_set() or self.board.ended:
            raise _NewerError

    # -- papers --------------------------------------------------------------------------
    def make(self) -> None:
        """Writes the papers in the background; how far that is comes as news.  Raises RefusedError."""
        if not self._making.acquire(blocking=False):
            raise RefusedError("the papers are being made already")
        threading.Thread(target=self._make, daemon=True).start()

    def _make(self) -> None:
        def tell(words: str, share: float) -> None:
            self.board.post("papers", {"share": round(share, 3), "words": words, "names": [], "fault": ""})

        try:
            tell("reading the job", 0.0)
            self._job(self.session.now[1].text, self.reading.raw)
            self.papers = make_papers(self.path, self.folder, self.rack, self.paper, tell)
            done = {"share": 1.0, "words": str(self.folder), "names": self.papers, "fault": ""}
            self.board.post("papers", done)
        except (JobError, NotWrittenError) as error:
            self.board.post("papers", {"share": 1.0, "words": "", "names": self.papers, "fault": str(error)})
        except Exception as error:
            words = f"an error in this program: {type(error).__name__}: {error}"
            self.board.post("papers", {"share": 1.0, "words": "", "names": self.papers, "fault": words})
        finally:
            self._making.release()


def _written_at(text: str, problem: Problem) -> Path:
    """The key of the file that a fault is about, as far as its line tells: those of parts that a frame, a repeat or a
    mirror makes lead into tables that the file does not have."""
    if problem.line is None:
        return problem.path
    lines = SourceMap(text).lines
    if lines.get(problem.path) == problem.line:
        return problem.path
    there = [path for path, line in lines.items() if line == problem.line]
    return max(
        there, key=lambda path: min(len(path), 2 + isinstance(path[1] if len(path) > 1 else "", int)), default=()
    )


def _origins(job: Job, pieces: Sequence[Piece]) -> dict[str, list[str | int]]:
    """By mark the table of the file that makes the part."""
    made: dict[str, list[str | int]] = {}
    for table, number, part in job.definitions.part_entries():
        made[part.mark] = list(job.origin((table, number))[:2])
    firsts = {} if job.expanded is None else {**job.expanded.copies, **job.expanded.images}
    for mark in made:
        # An image or a copy is changed where that is which it is made after.
        first, seen = mark, set[str]()
        while first in firsts and first not in seen:
            seen.add(first)
            first = firsts[first]
        made[mark] = made.get(first, made[mark])
    for piece in pieces:
        if piece.mark not in made and piece.cut_from in made:
            made[piece.mark] = made[piece.cut_from]
    return made


def _found(work: WorkedJob) -> dict[str, Any]:
    own = made_here(work.pieces)
    return {
        "list": [
            {"level": each.level, "word": each.level.word.capitalize(), "marks": list(each.marks), "text": each.cited}
            for each in graded(merged(work.findings))
        ],
        "levels": {mark: each.level for each in reversed(graded(work.findings)) for mark in each.marks},
        "mass": f"{sum(piece.mass * piece.quantity for piece in own):.1f} kg",
    }
