"""The states of a plan's text one after another, with undo and redo without end."""

from __future__ import annotations

from dataclasses import dataclass

_NEAR = 20  # steps of others between two parts of one gesture


@dataclass(frozen=True, slots=True)
class State:
    """The plan's bytes. label: what led here. gesture: whose part that was. version: of the document."""

    data: bytes
    label: str
    version: int
    gesture: str | None = None
    by_hand: bool = False


class History:
    """A row of states and a place in it."""

    def __init__(self, first: State) -> None:
        self._states = [first]
        self._at = 0

    @property
    def now(self) -> State:
        return self._states[self._at]

    @property
    def earlier(self) -> State | None:
        """Where undo leads."""
        return self._states[self._at - 1] if self._at else None

    @property
    def later(self) -> State | None:
        """Where redo leads."""
        return self._states[self._at + 1] if self._at + 1 < len(self._states) else None

    def back(self) -> None:
        self._at -= 1

    def forth(self) -> None:
        self._at += 1

    def push(self, state: State) -> None:
        """One more step; what had been taken back is let go."""
        self._states[self._at + 1 :] = [state]
        self._at += 1

    def push_by_hand(self, state: State) -> None:
        """One more step that nobody here asked for: what had been taken back is not let go, it lies below."""
        if self.later is not None:
            count = len(self._states) - 1 - self._at
            label = f"{count} changes taken back" if count > 1 else f"taken back: {self.later.label}"
            self._states.append(State(self.now.data, label, state.version))
        self._states.append(state)
        self._at = len(self._states) - 1

    def start_of(self, gesture: str | None) -> State | None:
        """Where a gesture began whose step is the last one; None where it is not."""
        goes_on = gesture is not None and self.now.gesture == gesture and self.later is None
        return self.earlier if goes_on else None

    def push_on(self, state: State) -> None:
        """A gesture goes on: its step is this one now, or none where it is back where it began."""
        self._at -= 1
        self._states[self._at + 1 :] = []
        if state.data != self.now.data:
            self.push(state)

    def left_by(self, gesture: str | None) -> State | None:
        """The last state that a gesture made, if it is not long ago."""
        near = reversed(self._states[max(0, self._at - _NEAR) : self._at + 1])
        return None if gesture is None else next((one for one in near if one.gesture == gesture), None)

    def by_hand_since(self, version: int) -> tuple[State, State] | None:
        """From where to where the file was changed by hand after a version; None where it was not."""
        place, places = self._at, []
        while place > 0 and self._states[place].version > version:
            places += [place] if self._states[place].by_hand else []
            place -= 1
        return (self._states[places[-1] - 1], self._states[places[0]]) if places else None
