"""The live line: acts come in, the parts of the page that changed go out, to every tab."""

import asyncio
from contextlib import nullcontext
from threading import Event
from typing import Any
from weakref import WeakKeyDictionary

from anyio import to_thread
from fastapi import WebSocket, WebSocketDisconnect
from pydantic import BaseModel, ConfigDict, ValidationError

from steelyard.web.acts import ACTS
from steelyard.web.acts.base import Act, Watch
from steelyard.web.bench import Bench
from steelyard.web.look import Look
from steelyard.web.page import parts
from steelyard.web.state import AskError


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
        self._sending = asyncio.Lock()

    async def send(self, message: dict[str, Any]) -> None:
        """One message at a time."""
        async with self._sending:
            await self.socket.send_json(message)

    async def refresh(self, head: dict[str, Any]) -> None:
        """Send the quick parts that differ from what this tab shows; the slow ones follow."""
        await self.send({**head, **await self._changed(slow=False)})
        self._spawn(self._later())

    async def _later(self) -> None:
        asked = (self.bench.revision, self.look)
        changed = await self._changed(slow=True)
        if changed["parts"] and asked == (self.bench.revision, self.look):
            self.shown.update(changed["parts"])
            await self.send(changed)

    async def _changed(self, *, slow: bool) -> dict[str, Any]:
        """Parts that differ from what is shown. The slow ones are worked out without the lock, so
        that acts go on meanwhile; what is out of date by then is not sent."""
        look, lock = self.look, nullcontext() if slow else self.bench.lock

        def render() -> dict[str, str]:
            with lock:
                return dict(parts(self.bench, look, slow=slow))

        try:
            found = await to_thread.run_sync(render)
        except AskError as error:
            return {"fault": str(error), "parts": {}, "revision": self.bench.revision}
        new = {name: text for name, text in found.items() if self.shown.get(name) != text}
        if not slow:
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
        finally:
            line.stop.set()
            self._lines[bench].discard(line)
            for task in line.tasks:
                task.cancel()

    async def _one(self, line: Line, text: str) -> None:
        try:
            sent = Sent.model_validate_json(text)
        except ValidationError as error:
            await line.send(
                {"fault": f"expected a message of the page: {error.errors()[0]['msg']}"}
            )
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
        await line.refresh(head)
        if act is not None and "said" in head:
            await self._tell(line)

    async def _tell(self, line: Line) -> None:
        """The other tabs of the same browser see what was done."""
        for other in [one for one in self._lines.get(line.bench, ()) if one is not line]:
            await other.refresh({})


async def done(act: Act, bench: Bench, sent: Sent, watch: Watch | None = None) -> dict[str, Any]:
    """Do an act in a thread; the sentence it ends with, or the fault."""
    try:
        ask = act.ask.model_validate(sent.ask)
        said = await to_thread.run_sync(lambda: act.on(bench, ask, watch))
    except ValidationError as error:
        one = error.errors()[0]
        where = ".".join(str(part) for part in one["loc"])
        return {"id": sent.id, "fault": f"{where}: {one['msg'][:1].lower()}{one['msg'][1:]}"}
    except AskError as error:
        return {"id": sent.id, "fault": str(error)}
    return {"id": sent.id, "said": said}
