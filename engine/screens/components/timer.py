"""A clock at a step: it counts in the browser, and goes on through reruns, reloads and closed tabs.

What runs is kept in the browser under the visit and the step, as the time at which it was started.
"""

import streamlit as st
from streamlit.components.v2 import component

from engine.knowledge import Knowledge
from engine.screens.components import answer
from engine.visit.keeping import Visit
from engine.visit.timing import timer
from engine.visit.view import Next

_HTML = """
<section aria-label="Timer">
  <div id="modes" role="group" aria-label="What to time"></div>
  <div id="line">
    <output id="clock" role="timer" aria-label="Time" aria-live="off"></output>
    <button id="go" type="button"></button>
    <button id="reset" type="button">Reset</button>
  </div>
  <button id="use" type="button" hidden></button>
  <p id="said" role="alert"></p>
</section>
"""

_CSS = """
section {color: var(--st-text-color); font-family: var(--st-font); padding: 0.2rem 0 0.6rem}
#line, #modes {display: flex; flex-wrap: wrap; gap: 0.6rem; align-items: center}
#clock {font-size: 2.4rem; font-weight: 700; font-variant-numeric: tabular-nums; min-width: 6.2rem}
button {font: inherit; font-size: 1rem; color: inherit; min-height: 3rem; min-width: 5rem;
  padding: 0.4rem 1rem; background: transparent; cursor: pointer;
  border: 1px solid var(--st-border-color); border-radius: 0.4rem}
#go, #use {border: 2px solid var(--st-text-color); font-weight: 700}
#use {margin-top: 0.6rem}
#use[hidden] {display: none}
button:focus-visible {outline: 3px solid var(--st-primary-color); outline-offset: 2px}
#modes {margin-bottom: 0.4rem}
#modes:empty {display: none}
#modes button[aria-pressed="true"] {border: 2px solid var(--st-text-color); font-weight: 700}
#modes button[aria-pressed="true"]::before {content: "✓ "}
#said {font-size: 1.15rem; font-weight: 700; margin: 0.4rem 0 0}
#said:empty {display: none}
"""

_JS = """
const WATCH = -1, FORGOTTEN = 6 * 3600e3;
export default function ({parentElement, data, setTriggerValue}) {
  const find = (id) => parentElement.querySelector("#" + id);
  const key = "sightport.timer." + data.key;
  let state = {mode: data.waits.length ? 0 : WATCH, started: null, held: 0, told: false};
  try {
    const kept = JSON.parse(localStorage.getItem(key));
    const old = kept && kept.started && Date.now() - kept.started > FORGOTTEN;
    if (kept && !old && (kept.mode === WATCH ? data.stopwatch : kept.mode < data.waits.length))
      state = kept;
  } catch (error) { /* nothing readable is kept: a fresh clock */ }
  const keep = () => {
    try { localStorage.setItem(key, JSON.stringify(state)); }
    catch (error) { /* no storage: it runs on while the page is open */ }
  };
  const spent = () => (state.held + (state.started ? Date.now() - state.started : 0)) / 1000;
  const tenths = () => (Math.floor(state.held / 100) / 10).toFixed(1);
  const total = () => state.mode === WATCH ? null : data.waits[state.mode][1];
  const clock = (seconds, tenths) => {
    const whole = tenths ? Math.floor(seconds) : Math.round(seconds);
    const text = Math.floor(whole / 60) + ":" + String(whole % 60).padStart(2, "0");
    return tenths ? text + "." + Math.floor((seconds - whole) * 10) : text;
  };
  const shared = window.sightportSound || (window.sightportSound = {});
  const wake = () => {  // a sound may only come from what a hand has started
    const Context = window.AudioContext || window.webkitAudioContext;
    if (Context && !shared.audio) shared.audio = new Context();
    if (shared.audio) shared.audio.resume();
  };
  const ring = () => {
    if (navigator.vibrate) navigator.vibrate([400, 200, 400, 200, 800]);
    if (!shared.audio || shared.audio.state !== "running") return;
    for (let beat = 0; beat < 4; beat += 1) {
      const at = shared.audio.currentTime + 0.45 * beat;
      const tone = shared.audio.createOscillator(), loud = shared.audio.createGain();
      tone.frequency.value = 880;
      loud.gain.setValueAtTime(0.4, at);
      loud.gain.exponentialRampToValueAtTime(0.001, at + 0.35);
      tone.connect(loud).connect(shared.audio.destination);
      tone.start(at);
      tone.stop(at + 0.4);
    }
  };
  const put = (element, text) => { if (element.textContent !== text) element.textContent = text; };
  const show = () => {
    const now = spent(), length = total();
    const left = length === null ? now : Math.max(length - now, 0);
    put(find("clock"), clock(left, length === null));
    put(find("go"), state.started ? "Stop" : state.held ? "Go on" : "Start");
    const up = length !== null && now >= length;
    if (up && !state.told) { state.told = true; keep(); if (now - length < 60) ring(); }
    put(find("said"), up ? "Time is up: " + data.waits[state.mode][0] +
      (now - length >= 60 ? ", " + Math.floor((now - length) / 60) + " min ago." : ".") : "");
    find("go").hidden = up;
    const usable = data.fills && state.mode === WATCH && !state.started && state.held > 0;
    find("use").hidden = !usable;
    if (usable) put(find("use"), "Enter " + tenths() + " s below");
  };
  const reset = (mode) => {
    state = {mode, started: null, held: 0, told: false};
    keep();
    modes();
    show();
  };
  const modes = () => {
    const offered = data.waits.map((wait, mode) => [mode, wait[0]]);
    if (data.stopwatch) offered.push([WATCH, "Stopwatch"]);
    if (offered.length < 2) return find("modes").replaceChildren();
    const buttons = offered.map(([mode, label]) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = label;
      button.setAttribute("aria-pressed", String(mode === state.mode));
      button.onclick = () => { if (mode !== state.mode) reset(mode); };
      return button;
    });
    find("modes").replaceChildren(...buttons);
  };
  find("go").onclick = () => {
    wake();
    if (state.started) { state.held += Date.now() - state.started; state.started = null; }
    else state.started = Date.now();
    keep();
    show();
  };
  find("reset").onclick = () => reset(state.mode);
  find("use").onclick = () => setTriggerValue("seconds", Number(tenths()));
  modes();
  show();
  const beat = setInterval(show, 100);
  return () => clearInterval(beat);
}
"""

_clock = component("sightport_timer", html=_HTML, css=_CSS, js=_JS)


def show(known: Knowledge, visit: Visit, step: Next) -> None:
    """The clock of the step on the screen, where it has one."""
    found = timer(known, visit.id, visit.history, step.kind, step.id)
    if found is None:
        return
    check = step.id if step.kind == "check" else known.closing[step.id].check
    key = f"timer_{found.key}"
    field = answer.field_key(visit, check, found.fills) if found.fills else ""

    def fill():
        seconds = st.session_state[key].seconds
        if seconds is not None:
            st.session_state[field] = f"{seconds} s"

    _clock(
        data={"key": found.key, "waits": found.waits, "stopwatch": found.stopwatch,
              "fills": bool(found.fills)},
        key=key, height="content", on_seconds_change=fill,
    )  # fmt: skip
