"""Two thermometers and a flow: heat to the water, and the flow and rise that belong to it."""

from engine.physics.water import flow_for_output, heat_output, rise_for_flow
from engine.physics.water_properties import GLYCOLS, freeze_margin, freezing_point
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

GLYCOL_WORDS = {"propylene_glycol": "Propylene glycol", "ethylene_glycol": "Ethylene glycol"}
LONGEST_RISE = 35.0
"""Above this rise at full output most makers throttle or trip, in kelvin. Common practice, no
source; the manual decides."""

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
    carried = bench.worked_out(heat_output, "Heat carried by the water", "power", "kW",
                               volume_flow=bench["flow"], **temperatures, **mixture)  # fmt: skip
    bench.figure(flow_for_output, "Flow that this output needs at this rise", "volume_flow",
                 "L/min", heat_output=bench["output"], **temperatures, **mixture)  # fmt: skip
    rise = bench.worked_out(rise_for_flow, "Rise that this output gives to this flow",
                            "temperature_difference", "K", heat_output=bench["output"],
                            volume_flow=bench["flow"], return_temperature=back,
                            **mixture)  # fmt: skip
    if bench.plain("glycol_share") > 0:
        bench.figure(freezing_point, "First ice in this mixture", "temperature", "°C", **mixture)
    margin = bench.worked_out(freeze_margin, "Above freezing, at its coldest",
                              "temperature_difference", "K", coldest_temperature=bench["coldest"],
                              **mixture)  # fmt: skip
    if margin is not None and margin.nominal_value <= 0:
        bench.say("The mixture does not protect at that cold: more antifreeze, or keep it warm.")
    if rise is not None and rise.nominal_value > LONGEST_RISE:
        bench.say(
            "So little flow makes the boiler throttle or trip at full output: look at pump, "
            "strainer, valves and air before the burner is blamed."
        )
    if carried is not None and bench.has("output"):
        share = bench["output"] and carried / bench["output"]
        _say(bench, share)


def _say(bench, share) -> None:
    low, high = (share.nominal_value + side * share.std_dev for side in (-2, 2))
    if high < 0.9:
        bench.say(
            "Less heat reaches the water than expected: the boiler throttles, the input is low, "
            "or flow or thermometers mislead."
        )
    elif low > 1.05:
        bench.say("More heat than expected, which no boiler gives: check flow and thermometers.")
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
