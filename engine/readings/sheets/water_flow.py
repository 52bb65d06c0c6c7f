"""Two thermometers and a flow: heat to the water, and the flow and rise that belong to it."""

from uncertainties import nominal_value, std_dev

from engine.physics.water import flow_for_output, heat_output, rise_for_flow
from engine.physics.water_properties import GLYCOLS, freeze_margin, freezing_point
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

GLYCOL_WORDS = {"propylene_glycol": "Propylene glycol", "ethylene_glycol": "Ethylene glycol"}
LONGEST_RISE = 35.0
"""Above about this rise many makers throttle or trip, in kelvin. Common practice, no source; the
manual decides."""
LEAST_RISE = 5.0
"""Below this rise two thermometers on pipes tell nothing, in kelvin. Judgement."""
TELLS = 0.3
"""From this doubt on, as a share of the rise, no figure comes from it. Judgement."""
SHORT, SURPLUS = 0.9, 1.05
"""Below and above these shares of the output heat is missing or too much. Judgement."""

ENTRIES = (
    Entry("flow", "Water flow through the boiler", "volume_flow", "L/min", "1000 L/min",
          "flow_meter"),
    Entry("supply", "Water leaving the boiler", "temperature", "°C", "110 °C",
          "contact_thermometer"),
    Entry("return", "Water coming back", "temperature", "°C", "110 °C", "contact_thermometer"),
    Entry("output", "Heat output expected", "power", "kW", "600 kW",
          help="Input by the meter times efficiency, or the output of the plate."),
    Entry("glycol", "Antifreeze", assumed="propylene_glycol", usual=False,
          choices={name: GLYCOL_WORDS[name] for name in GLYCOLS}),
    Entry("glycol_share", "Share of it, by volume", "ratio", "%", "60 %", assumed="0 %",
          usual=False),
    Entry("coldest", "Coldest the water can get", "temperature", "°C", "50 °C", usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Work out output, flow and rise, each from the others."""
    mixture = {"glycol_share": bench["glycol_share"], "glycol": bench.plain("glycol")}
    if None in mixture.values():
        return
    supply, back = bench["supply"], bench["return"]
    if bench.has("supply", "return") and bench.plain("supply") <= bench.plain("return"):
        bench.say("The water leaves no warmer than it comes back: swapped, or is the burner off?")
        return
    temperatures = {"flow_temperature": supply, "return_temperature": back}
    carried = None
    if bench.has("supply", "return") and _too_small(supply - back):
        bench.say("Too small a rise for these thermometers.")
    else:
        carried = bench.worked_out(heat_output, "Heat carried by the water", "power", "kW",
                                   volume_flow=bench["flow"], **temperatures,
                                   **mixture)  # fmt: skip
        bench.figure(flow_for_output, "Flow that this output needs at this rise", "volume_flow",
                     "L/min", heat_output=bench["output"], **temperatures, **mixture)  # fmt: skip
    rise = bench.worked_out(rise_for_flow, "Rise that this output gives to this flow",
                            "temperature_difference", "K", heat_output=bench["output"],
                            volume_flow=bench["flow"], return_temperature=back,
                            **mixture)  # fmt: skip
    if rise is not None and rise.nominal_value - 2 * rise.std_dev > LONGEST_RISE:
        bench.say(
            f"So little flow gives a rise of {rise.nominal_value:.0f} K at this output: many "
            "makers throttle or trip above about 35 K; the manual decides. Look at pump, strainer, "
            "valves and air before the burner is blamed."
        )
    if carried is not None and bench.has("output") and bench.plain("output") > 0:
        _say(bench, carried / bench["output"])
    _frost(bench, mixture)


def _too_small(rise) -> bool:
    middle = nominal_value(rise)
    return middle < LEAST_RISE or 2 * std_dev(rise) > TELLS * middle


def _frost(bench, mixture) -> None:
    """Whether the filling stands the cold."""
    taken = "" if bench.typed("glycol") else "propylene glycol taken"
    if bench.plain("glycol_share") > 0:
        bench.figure(freezing_point, "First ice in this mixture", "temperature", "°C", **mixture,
                     note=taken)  # fmt: skip
    margin = bench.worked_out(freeze_margin, "Above freezing, at its coldest",
                              "temperature_difference", "K", coldest_temperature=bench["coldest"],
                              **mixture)  # fmt: skip
    if margin is not None and margin.nominal_value <= 0:
        bench.say("The mixture does not protect at that cold: more antifreeze, or keep it warm.")


def _say(bench, share) -> None:
    low, high = (share.nominal_value + side * share.std_dev for side in (-2, 2))
    if high < SHORT:
        bench.say(
            "Less heat reaches the water than expected: the boiler throttles, the input is low, "
            "or flow or thermometers mislead."
        )
    elif low > SURPLUS:
        bench.say(
            "More heat than the output entered allows: was it the right output? Then check flow "
            "and thermometers."
        )
    else:
        bench.say(
            f"Water and expectation agree within the instruments: {words.percent(share)} of it."
        )


SHEET = Sheet(
    id="water",
    title="Water flow",
    about="Heat to the water from flow and temperature rise, and what belongs to what.",
    entries=ENTRIES,
    work_out=work_out,
)
