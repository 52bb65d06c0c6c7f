"""What a sheet is: which values one instrument gives, and what is worked out from them."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field

from engine.readings.bench import Bench


@dataclass(frozen=True)
class Entry:
    """One value that may be entered: a number of some quantity, or one of `choices`.

    `instrument` is a class of instrument of the knowledge, or None for what is taken as exact.
    `largest` is the largest value worth a unit; `assumed` stands in when nothing is entered, and
    is shown as such. `feeds` names the checks and fields of a visit that take the value, by rate;
    "" where the rate does not matter. What is not `usual` may wait in a drawer. `over` is the least
    that a display beyond its range stands for.
    """

    name: str
    label: str
    quantity: str = ""
    unit: str = ""
    largest: str = ""
    instrument: str | None = None
    assumed: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    feeds: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    help: str = ""
    usual: bool = True
    over: str = ""

    def fed(self, rate: str) -> tuple[tuple[str, str], ...]:
        """The checks and fields that take this value at a firing rate."""
        return self.feeds.get(rate, ()) or self.feeds.get("", ())


@dataclass(frozen=True)
class Sheet:
    """One instrument's sheet: entries in the order of the hands, and its working out.

    `facts` are the facts of the boiler that its bands and calculations ask for; `rates` are the
    firing rates told apart, empty where the rate does not matter; `fuel` says whether the gas does.
    `left_out` names the entries that a visit is not given, by what was typed. A `print_out` gives
    all of its values at once, so that no check should ask for one of them alone.
    """

    id: str
    title: str
    about: str
    entries: tuple[Entry, ...]
    work_out: Callable[[Bench], None]
    facts: tuple[str, ...] = ()
    rates: Mapping[str, str] = field(default_factory=dict)
    fuel: bool = False
    left_out: Callable[[Mapping[str, str]], Collection[str]] = lambda typed: ()
    print_out: bool = False

    def entry(self, name: str) -> Entry | None:
        """The entry of that name."""
        return next((entry for entry in self.entries if entry.name == name), None)
