"""The worked visit of README: one invented boiler, answered step by step in the terminal.

``python -m tests.worked_visit`` prints the whole visit.
"""

from engine.records import Store
from engine.visit import keeping, terminal

START = [
    "1",  # a technician with a gas licence
    "Demo boiler, invented",
    "",  # none of the danger signs
    "it starts, runs a few seconds and stops again",
    "1",
    "fuel natural_gas",
    "rated_input 24 kW",
    "flame_current_min 2 uA",
    "",
    "",  # no circumstance
    "",  # no suspicion
]

AS_FOUND = {
    "when_flame_goes": ["#6"],
    "fault_history": ["4"],
    "start_sequence": ["4"],
    "flame_signal_history": ["2"],
    "flame_current": ["1.4 uA", ""],
    "mixture_high_fire": ["5.0 %", "9.0 %"],
    "burner_earth_resistance": ["0.2 ohm"],
    "flame_rod_seen": ["2"],
    "rod_leakage_resistance": ["50 Mohm"],
    "sense_lead_seen": ["1"],
}
"""What the demo boiler shows, by check: the number of an outcome, or values of its fields."""

AS_LEFT = {
    "mixture_high_fire": ["5.0 %", "9.0 %"],
    "mixture_low_fire": ["5.4 %", "8.8 %"],
    "co_high_fire": ["32 ppm", "5.0 %"],
    "co_low_fire": ["12 ppm", "5.4 %"],
    "flame_current": ["6.8 uA", ""],
    "room_co": ["0 ppm"],
}
"""What it shows after the repair."""


def visit() -> str:
    """The whole visit as it stands on the terminal."""
    return "\n".join(_walked(Store("sqlite://")))


def stored() -> keeping.Visit:
    """The visit as it is stored at its end."""
    store = Store("sqlite://")
    _walked(store)
    return keeping.read(store, keeping.knowledge(), 1)


def _walked(store) -> list[str]:
    lines: list[str] = []
    known = keeping.knowledge()
    waiting = list(START)

    def ask(question):
        if not waiting:
            waiting.extend(_answers(known, keeping.read(store, known, 1)))
        typed = waiting.pop(0)
        lines.append(question + typed)
        return typed

    terminal.walk(store, known, None, ask, lines.append)
    return lines


def _answers(known, so_far) -> list[str]:
    """What is typed at the step that the program advises now."""
    step = so_far.view.next
    if step is None:
        return ["found", "end", "1", ""]
    if step.kind == "action":
        return ["done"]
    check = known.closing[step.id].check if step.kind == "proof" else step.id
    if check is None:
        return ["as it should be, seen and felt"]
    shows = AS_LEFT if so_far.state.done else AS_FOUND
    return list(shows.get(check, ["1"]))


if __name__ == "__main__":
    print(visit())
