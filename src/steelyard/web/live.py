"""The live line: acts come in, the parts of the page that changed go out, to every tab."""

import asyncio
from functools import cache
from threading import Event
from typing import Any, Final
from weakref import WeakKeyDictionary

from anyio import CapacityLimiter, to_thread
from fastapi import WebSocket, WebSocketDisconnect
from markupsafe import escape
from pydantic import BaseModel, ConfigDict, ValidationError

from steelyard.web.acts import ACTS
from steelyard.web.acts.base import Act, Watch
from steelyard.web.bench import Bench
from steelyard.web.look import Look
from steelyard.web.page import late, part, parts
from steelyard.web.sections import Section
from steelyard.web.state import AskError

BREATH: Final = 0.2
"""s before slow work begins: the browser paints what has changed, and may ask again."""


@cache
def quick() -> CapacityLimiter:
    """Quick work is done one piece at a time: two at once would only make each other late."""
    return CapacityLimiter(1)


class Sent(BaseModel):
    """One message of a tab: perhaps an act with its question, and always its look."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    id: int
    do: str | None = None
    ask: dict[str, Any] = {}
    look: Look


class Line:
    """One tab's line: what it looks at, and what it has been sent."""

    def __init__(self, socket: WebSocket, bench: Bench) -> None:
        self.socket, self.bench = socket, bench
        self.look = Look()
        self.shown: dict[str, str] = {}
        self.stop = Event()
        self.tasks: set[asyncio.Task[None]] = set()
        self._sending, self._working = asyncio.Lock(), asyncio.Lock()
        self._turn = 0
        self._settled: dict[str, object] = {}
        self.late: dict[str, str] = {}

    async def send(self, message: dict[str, Any]) -> None:
        """One message at a time."""
        async with self._sending:
            await self.socket.send_json(message)

    async def refresh(self, head: dict[str, Any], *, done: bool = True) -> None:
        """Send the quick parts that differ from what this tab shows, and the names of the slow ones
        that are being worked out; these follow. done: whether an act may have changed anything."""
        self._turn += done
        asked = self._asked()
        due = [one for one in late(self.look) if self._settled.get(one.name) != asked]
        names = [one.name for one in due]
        await self.send({**head, **await self._changed(), "working": names})
        if due:
            self._spawn(self._later(due, asked))

    def _asked(self) -> object:
        """What the slow parts depend on; unfolding a section is no part of it."""
        return self._turn, self.bench.revision, self.look.model_copy(update={"open": ()})

    async def _later(self, due: list[Section], asked: object) -> None:
        """Work out the slow parts, each sent when it is ready, without the bench's lock, so that
        acts go on meanwhile; of many steps in a row only the last is worked out."""
        await asyncio.sleep(BREATH)
        if asked != self._asked():
            return
        async with self._working:
            for section in due:
                if asked == self._asked() and self._settled.get(section.name) != asked:
                    text = await to_thread.run_sync(_slow, section, self.bench, self.look)
                    self.late[section.name] = text
                if asked != self._asked():
                    return
                self._settled[section.name] = asked
                text = self.late[section.name]
                changed = {section.name: text} if self.shown.get(section.name) != text else {}
                self.shown.update(changed)
                await self.send({"parts": changed, "settled": [section.name]})

    async def _changed(self) -> dict[str, Any]:
        """Quick parts that differ from what is shown."""
        look = self.look

        def render() -> dict[str, str]:
            with self.bench.lock:
                return dict(parts(self.bench, look, slow=False))

        try:
            found = await to_thread.run_sync(render, limiter=quick())
        except AskError as error:
            return {"fault": str(error), "parts": {}, "revision": self.bench.revision}
        new = {name: text for name, text in found.items() if self.shown.get(name) != text}
        self.shown.update(new)
        return {"parts": new, "revision": self.bench.revision}

    def _spawn(self, work: Any) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self.tasks.add(task)
        task.add_done_callback(self._ended)

    def _ended(self, task: "asyncio.Task[None]") -> None:
        self.tasks.discard(task)
        if not task.cancelled():
            task.exception()

    def begin(self, act: Act, sent: Sent, others: Any) -> None:
        """Start a long act; its progress and its end are sent as they come."""
        self.stop.clear()
        self._spawn(self._long(act, sent, others))

    async def _long(self, act: Act, sent: Sent, others: Any) -> None:
        loop = asyncio.get_running_loop()

        def tell(words: str) -> None:
            asyncio.run_coroutine_threadsafe(self.send({"id": sent.id, "progress": words}), loop)

        watch = Watch(stopped=self.stop.is_set, tell=tell)
        head = await done(act, self.bench, sent, watch)
        await self.refresh({**head, "over": True})
        await others()


class Lines:
    """All open lines, by bench."""

    def __init__(self) -> None:
        self._lines: WeakKeyDictionary[Bench, set[Line]] = WeakKeyDictionary()

    async def serve(self, socket: WebSocket, bench: Bench) -> None:
        """Listen to one tab until it goes."""
        await socket.accept()
        line = Line(socket, bench)
        self._lines.setdefault(bench, set()).add(line)
        try:
            while True:
                await self._one(line, await socket.receive_text())
        except (WebSocketDisconnect, RuntimeError):
            pass
        except KeyError:
            await socket.close(1003, "Expected text.")
        finally:
            line.stop.set()
            self._lines[bench].discard(line)
            for task in line.tasks:
                task.cancel()

    async def _one(self, line: Line, text: str) -> None:
        try:
            sent = Sent.model_validate_json(text)
        except ValidationError as error:
            why = error.errors()[0]["msg"]
            await line.send({"fault": f"expected a message of the page: {why}"})
            return
        line.look = sent.look
        if sent.do == "stop":
            line.stop.set()
            return
        act = ACTS.get(sent.do or "")
        if act is not None and act.long:
            line.begin(act, sent, lambda: self._tell(line))
            return
        if sent.do is not None and act is None:
            await line.send({"id": sent.id, "fault": f'There is nothing called "{sent.do[:40]}".'})
            return
        head = await done(act, line.bench, sent) if act else {"id": sent.id}
        if act is not None and not act.changes:
            await line.send(head)
            return
        await line.refresh(head, done=act is not None)
        if act is not None and "said" in head:
            await self._tell(line)

    async def _tell(self, line: Line) -> None:
        """The other tabs of the same browser see what was done."""
        for other in [one for one in self._lines.get(line.bench, ()) if one is not line]:
            await other.refresh({})


def _slow(section: Section, bench: Bench, look: Look) -> str:
    """A slow part as HTML, or the sentence that says why there is none."""
    try:
        return part(section, bench, look)
    except (AskError, ValueError, ArithmeticError) as error:
        return f'<p role="note">▲ This could not be worked out: {escape(str(error))}</p>'


async def done(act: Act, bench: Bench, sent: Sent, watch: Watch | None = None) -> dict[str, Any]:
    """Do an act in a thread; the sentence it ends with, or the fault."""
    try:
        ask = act.ask.model_validate(sent.ask)
        turn = None if act.long else quick()
        said = await to_thread.run_sync(lambda: act.on(bench, ask, watch), limiter=turn)
    except ValidationError as error:
        one = error.errors()[0]
        where = ".".join(str(part) for part in one["loc"])
        return {"id": sent.id, "fault": f"{where}: {one['msg'][:1].lower()}{one['msg'][1:]}"}
    except AskError as error:
        return {"id": sent.id, "fault": str(error)}
    return {"id": sent.id, "said": said}
