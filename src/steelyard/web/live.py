"""The live line: acts come in, the parts of the page that changed go out, to every tab."""

import asyncio
import gc
import json
from collections.abc import Callable, Coroutine, Hashable
from contextlib import suppress
from functools import lru_cache, partial
from math import inf
from threading import Event
from typing import Any, Final, TypeVar

from anyio import CapacityLimiter, to_thread
from fastapi import WebSocket, WebSocketDisconnect
from markupsafe import escape
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from steelyard.files.changes import AskError
from steelyard.web.acts import ACTS
from steelyard.web.acts.base import Act, Watch
from steelyard.web.look import Look
from steelyard.web.page import late, made, part, parts
from steelyard.web.sections import Section
from steelyard.web.sections.base import BREATH
from steelyard.web.session import Seen, Session, Visitor

T = TypeVar("T")
Drawn = tuple[Seen, Look, dict[str, str], list[Section]] | str
"""A session as seen, for what look, its parts, those still due; or why there are none."""
WAITING: Final = 64
"""Messages of one tab that wait their turn; it is read no further until there are fewer."""
KEPT: Final = 256
"""Parts kept as JSON."""
MOST: Final = 400
"""Lines at once."""
SOON: Final = 0.1
"""s after an answer, when others have been shown it too."""
SOME: Final = 20
"""Acts after which what outlived the last clearings is looked at too."""


class Sent(BaseModel):
    """One message of a tab: perhaps an act with its question, and always its look. key: the act's
    own, by which it is known when it is sent again."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    id: int
    do: str | None = None
    ask: dict[str, Any] = {}
    look: Look
    key: str = Field(default="", max_length=64)


class Making:
    """A slow part that is being made, and how many wait for it."""

    def __init__(self) -> None:
        self.waiting = 0
        self.text: asyncio.Future[str]


class Desk:
    """Where work is done for all lines: quick work one piece at a time, since two at once would
    only make each other late; slow parts once each, however many ask for them, and not at all where
    nobody waits any more."""

    def __init__(self) -> None:
        self._quick, self._slow = CapacityLimiter(1), asyncio.Semaphore(2)
        self._making: dict[Hashable, Making] = {}
        self._acts = 0

    def tidy(self) -> None:
        """Clear away what an act left behind once it is answered: in the middle of the next it
        would cost that one 5 ms."""
        self._acts += 1
        gc.collect(1 if self._acts % SOME == 0 else 0)

    async def quick(self, work: Callable[[], T]) -> T:
        """What `work` returns or raises, in its turn."""
        return await to_thread.run_sync(work, limiter=self._quick)

    async def slow(self, section: Section, seen: Seen, look: Look) -> str:
        """A slow part as HTML, made with whoever else waits for the same."""
        key = (seen.work, section.name, look.key, section.own(seen))
        if key not in self._making:
            one = self._making[key] = Making()
            one.text = asyncio.ensure_future(self._made(key, section, seen, look))
        one = self._making[key]
        one.waiting += 1
        try:
            return await asyncio.shield(one.text)
        finally:
            one.waiting -= 1

    async def _made(self, key: Hashable, section: Section, seen: Seen, look: Look) -> str:
        """Made in its turn, unless nobody waits any more; once begun it goes on, since a thread
        cannot be called back and would be one more beside the next."""
        try:
            async with self._slow:
                if not self._making[key].waiting:
                    return ""
                return await to_thread.run_sync(_slow, section, seen, look)
        finally:
            del self._making[key]


class Line:
    """One tab's line: what it looks at, and what it has been sent."""

    def __init__(self, socket: WebSocket, session: Session, desk: Desk, visitor: Visitor) -> None:
        self.socket, self.session, self.desk, self.visitor = socket, session, desk, visitor
        self.look = Look()
        self.stop = Event()
        self.heard: asyncio.Queue[str | None] = asyncio.Queue(WAITING)
        self._shown: dict[str, str] = {}
        self._revision = -1
        self._acted = -inf
        self._tasks: set[asyncio.Task[None]] = set()
        self._sending, self._turn = asyncio.Lock(), asyncio.Lock()
        self._late: asyncio.Task[None] | None = None
        self._stale = asyncio.Event()
        self._loop = asyncio.get_running_loop()

    async def serve(self) -> None:
        """Do what the tab says until it goes."""
        self.session.watchers.add(self.moved_on)
        self._spawn(self._listen())
        self._spawn(self._follow())
        try:
            while (text := await self.heard.get()) is not None:
                await self._answer(text)
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            self.end()

    def moved_on(self) -> None:
        """The rig is no longer as this tab shows it; any thread may say so."""
        with suppress(RuntimeError):
            self._loop.call_soon_threadsafe(self._stale.set)

    def end(self) -> None:
        """Stop whatever is under way for this tab."""
        self.session.watchers.discard(self.moved_on)
        self.stop.set()
        for task in self._tasks:
            task.cancel()

    async def _listen(self) -> None:
        """Take in what the tab says, a few messages ahead of what is done."""
        try:
            while True:
                text = await self.socket.receive_text()
                if text == "?":  # a sign of life, wanted at once
                    await self._send("!")
                else:
                    await self.heard.put(text)
        except (WebSocketDisconnect, RuntimeError):
            pass
        except KeyError:
            await self.socket.close(1003, "Expected text.")
        self.stop.set()
        await self.heard.put(None)

    async def _follow(self) -> None:
        """Show what others did, as it is now: of many steps in a row only the last."""
        while True:
            await self._stale.wait()
            self._stale.clear()
            async with self._turn:
                if self.session.revision != self._revision:
                    self._acted = self._loop.time()
                    await self._show(*await self.desk.quick(self._news))

    async def _answer(self, text: str) -> None:
        try:
            sent = Sent.model_validate_json(text)
        except ValidationError as error:
            why = error.errors()[0]["msg"]
            await self._send({"fault": f"expected a message of the page: {why}"})
            return
        self.look = sent.look
        act = ACTS.get(sent.do or "")
        if sent.do == "stop":
            self.stop.set()
        elif sent.do is not None and act is None:
            await self._send({"id": sent.id, "fault": f'There is nothing called "{sent.do[:40]}".'})
        elif act is None:
            async with self._turn:
                await self._show({"id": sent.id}, await self.desk.quick(self._drawn))
        elif act.long:
            self.stop.clear()
            self._spawn(self._long(act, sent))
        else:
            await self._do(act, sent)

    async def _do(self, act: Act, sent: Sent) -> None:
        """Do an act and show what changed, to whoever looks on first: their turn comes between.
        While the tab has said more already, only the sentence goes out: what it does next is shown
        with it."""
        self._acted = self._loop.time()
        async with self._turn:
            await self._show(*await self.desk.quick(partial(self._shown_after, act, sent)))
        self._loop.call_later(SOON, self.desk.tidy)

    async def _long(self, act: Act, sent: Sent) -> None:
        """Do a long act; its progress and its end are sent as they come."""

        def tell(words: str) -> None:
            message = {"id": sent.id, "progress": words}
            asyncio.run_coroutine_threadsafe(self._send(message), self._loop)

        watch = Watch(stopped=self.stop.is_set, tell=tell)
        head = await to_thread.run_sync(self._head, act, sent, watch)
        async with self._turn:
            await self._show({**head, "over": True}, await self.desk.quick(self._drawn))

    def _shown_after(self, act: Act, sent: Sent) -> "tuple[dict[str, Any], Drawn | None]":
        """Do an act; what it ends with, and the session after it."""
        head = self._head(act, sent)
        return head, self._drawn() if act.changes and self.heard.empty() else None

    def _head(self, act: Act, sent: Sent, watch: Watch | None = None) -> dict[str, Any]:
        """Do an act; the sentence it ends with, or the fault."""
        try:
            ask = act.ask.model_validate(sent.ask)
            return {"id": sent.id, "said": act.on(self.session, ask, watch, self.visitor, sent.key)}
        except ValidationError as error:
            one = error.errors()[0]
            where = ".".join(str(part) for part in one["loc"])
            return {"id": sent.id, "fault": f"{where}: {one['msg'][:1].lower()}{one['msg'][1:]}"}
        except AskError as error:
            mend = {} if error.mend is None else {"mend": error.mend}
            return {"id": sent.id, "fault": str(error), **mend}

    def _news(self) -> "tuple[dict[str, Any], Drawn]":
        """What somebody else did, and the session after it."""
        drawn = self._drawn()
        who, said = self.session.told
        if who == self.visitor.name:
            return {}, drawn
        return {"news": self.session.work.trade.said(f"{_first(who)}: {said}")}, drawn

    def _drawn(self) -> "Drawn":
        """The session as it is now, and the parts of it that are there; or why there are none."""
        try:
            seen, look = self.session.seen(), self.look
            found = dict(parts(seen, look, slow=False))
        except AskError as error:
            return str(error)
        due = [one for one in late(look) if made(one, seen, look) is None]
        found |= {one.name: part(one, seen, look) for one in late(look) if one not in due}
        return seen, look, found, due

    async def _show(self, head: dict[str, Any], drawn: "Drawn | None") -> None:
        """Send the parts that differ from what this tab shows, and the names of the slow ones that
        are being worked out; these follow. drawn: None for the sentence alone."""
        if drawn is None or isinstance(drawn, str):
            fault = {"fault": drawn, "parts": {}} if drawn else {}
            await self._send({**fault, **head, "revision": self.session.revision})
            return
        seen, look, found, due = drawn
        self._revision = seen.revision
        names = [one.name for one in due if one.name not in found]
        settled = [one.name for one in late(look) if one not in due]
        changed = self._new(found)
        message = {"parts": changed, "revision": seen.revision, "working": names}
        await self._send({**head, **message, **({"settled": settled} if settled else {})})
        if self._late is not None:
            self._late.cancel()
        self._late = self._spawn(self._later(due, seen, look)) if due else None

    def _new(self, found: dict[str, str]) -> dict[str, str]:
        new = {name: text for name, text in found.items() if self._shown.get(name) != text}
        self._shown.update(new)
        return new

    async def _later(self, due: list[Section], seen: Seen, look: Look) -> None:
        """Work out the slow parts of a rig as it was seen, each sent when it is ready; acts go on
        meanwhile, and what they change ends this. A long search waits for a rest after an act."""
        shown = self._loop.time()
        for section in sorted(due, key=lambda one: one.breath):
            begin = max(self._acted + section.breath, shown + min(section.breath, BREATH))
            await asyncio.sleep(begin - self._loop.time())
            changed = self._new({section.name: await self.desk.slow(section, seen, look)})
            await self._send({"parts": changed, "settled": [section.name]})

    async def _send(self, message: dict[str, Any] | str) -> None:
        """One message at a time."""
        async with self._sending:
            await self.socket.send_text(message if isinstance(message, str) else _encoded(message))

    def _spawn(self, work: Coroutine[Any, Any, None]) -> "asyncio.Task[None]":
        """A task that ends with the line."""
        task = self._loop.create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._ended)
        return task

    def _ended(self, task: "asyncio.Task[None]") -> None:
        self._tasks.discard(task)
        if not task.cancelled():
            task.exception()


class Lines:
    """All open lines."""

    def __init__(self) -> None:
        self._open: set[Line] = set()
        self._desk = Desk()

    async def serve(self, socket: WebSocket, session: Session, visitor: Visitor) -> None:
        """Listen to one tab until it goes."""
        await socket.accept()
        if len(self._open) >= MOST:
            await socket.close(1013, "Too many tabs are open.")
            return
        line = Line(socket, session, self._desk, visitor)
        self._open.add(line)
        try:
            await line.serve()
        finally:
            self._open.discard(line)

    async def end(self) -> None:
        """Tell every tab that the server goes."""
        for line in list(self._open):
            line.end()
            with suppress(RuntimeError, WebSocketDisconnect):
                await line.socket.close(1012, "Steelyard is ending.")


def _encoded(message: dict[str, Any]) -> str:
    """A message as JSON: ASCII, which leaves as it is."""
    if "parts" not in message:
        return json.dumps(message)
    pairs = (f"{_quoted(name)}:{_quoted(html)}" for name, html in message["parts"].items())
    rest = json.dumps({name: what for name, what in message.items() if name != "parts"})
    return f'{{"parts":{{{",".join(pairs)}}},{rest[1:]}'


@lru_cache(maxsize=KEPT)
def _quoted(text: str) -> str:
    """A text as JSON, made once for all tabs that are sent it."""
    return json.dumps(text)


def _first(who: str) -> str:
    """A visitor's name at the beginning of a sentence."""
    return who[:1].upper() + who[1:] if who else "Another tab"


def _slow(section: Section, seen: Seen, look: Look) -> str:
    """A slow part as HTML, or the sentence that says why there is none."""
    try:
        return part(section, seen, look)
    except (AskError, ValueError, ArithmeticError) as error:
        return f'<p role="note">▲ This could not be worked out: {escape(str(error))}</p>'
