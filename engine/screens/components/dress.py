"""Sizes and the few rules of style that Streamlit's theme does not reach."""

import html
import json
from collections.abc import Sequence

import streamlit as st

from engine.visit.preferences import Preferences

_LIGHT = "--paper: #fbfaf7; --ink: #1b1a18; --line: #8d8a82; --stop: #a3201a; --fill: #1f5a73"
_DARK = "--paper: #14171a; --ink: #f1eee7; --line: #7d8790; --stop: #ff8d83; --fill: #6fb3cf"
_STRONGEST = "--paper: #fff; --ink: #000; --line: #000; --stop: #000; --fill: #000"
_COLOURS = {
    "device": f":root {{{_LIGHT}}} @media (prefers-color-scheme: dark) {{:root {{{_DARK}}}}}",
    "light": f":root {{{_LIGHT}}}",
    "dark": f":root {{{_DARK}}}",
    "plant_room": f":root {{{_STRONGEST}}}",
}

_STYLE = """
<style>
[data-testid="stHeader"], [data-testid="stToolbar"], [data-testid="stDecoration"],
[data-testid="stElementToolbar"], [data-testid="stHeaderActionElements"] {display: none}
[data-testid="stMainBlockContainer"] {
  max-width: 72rem; padding: 0.5rem 1rem 6rem 1rem; overflow-wrap: anywhere}
[data-testid="stMainBlockContainer"] p, [data-testid="stMainBlockContainer"] li,
[data-testid="stMainBlockContainer"] label, [data-testid="stMainBlockContainer"] label p,
[data-testid="stCaptionContainer"] p, [data-testid="stPopoverBody"] p, [role="option"] {
  font-size: 1rem; line-height: 1.45}
[data-testid="stCaptionContainer"] {opacity: 1; color: inherit}
[data-testid="stHeading"] h1 {font-size: 1.6rem; padding: 0.25rem 0 0.5rem}
[data-testid="stHeading"] h2 {font-size: 1.4rem; padding: 0.25rem 0 0.5rem}
[data-testid="stHeading"] h3 {font-size: 1.15rem; padding: 0.2rem 0 0.5rem}
button[kind], [data-testid="stPopover"] button, [data-testid="stFormSubmitButton"] button {
  min-height: 3rem; white-space: normal; text-align: left; line-height: 1.3}
[data-testid="stButtonGroup"] button {min-height: 2.7rem; min-width: 2.7rem; height: auto;
  padding: 0.3rem 0.8rem; white-space: normal}
[data-testid="stTextInput"] input, [data-testid="stSelectbox"] [data-baseweb="select"] > div,
[data-testid="stTextInputRootElement"] {min-height: 2.8rem; font-size: 1rem}
input::placeholder {color: var(--ink) !important; opacity: 0.75}
[data-testid="stSelectbox"] input, [data-testid="stSelectbox"] button {min-height: 2.7rem}
[data-testid="stExpander"] summary {min-height: 3rem; padding-top: 0.6rem}
[data-testid="stPageLink"] a {min-height: 2.7rem; border: 1px solid var(--line)}
[data-testid="stRadio"] label, [data-testid="stCheckbox"] label {
  min-height: 2.7rem; align-items: center}
[data-testid="stLayoutWrapper"]:has(> .st-key-danger_bar) {position: sticky; top: 0}
[data-testid="stLayoutWrapper"]:has(> .st-key-start_bar) {position: sticky; bottom: 0}
[data-testid="stLayoutWrapper"]:has(> .st-key-danger_bar),
[data-testid="stLayoutWrapper"]:has(> .st-key-start_bar) {
  z-index: 50; padding: 0.4rem 0; background: var(--paper)}
#answer {scroll-margin-top: 5.5rem}
.st-key-danger_bar a {display: inline-block; min-height: 2.7rem; padding: 0.6rem 0.3rem}
.st-key-news [data-testid="stHorizontalBlock"], .st-key-danger_bar {flex-wrap: nowrap}
.st-key-danger_bar a {white-space: nowrap}
.st-key-danger_bar button :is([data-testid="stMarkdownContainer"], p) {
  white-space: normal !important}
[data-testid="stPageLink"] a :is(div, span, p) {white-space: normal}
[class*="st-key-entry_"] {gap: 0.4rem}
[data-testid="stMultiSelect"] [role="group"], [data-testid="stMultiSelectTagsContainer"] {
  max-height: none; height: auto}
[data-tag] {height: auto; min-height: 2.7rem; max-width: 100%}
[data-tag] span {white-space: normal; font-size: 1rem; max-width: none}
[data-tag] button {min-width: 2.4rem; min-height: 2.4rem}
.st-key-danger_bar button {border: 2px solid var(--ink)}
[data-testid="stButton"] button[kind="secondary"] > div,
[data-testid="stButton"] button[kind="secondary"] > div > span {
  justify-content: flex-start; text-align: left}
[class*="st-key-answers_"] button {min-height: 3.6rem; border-width: 2px}
[class*="st-key-answers_"] button p {font-size: 1.1rem}
[data-testid="InputInstructions"], [data-testid="stFileUploaderDropzoneInstructions"] {
  display: none}
[data-testid="stFileUploaderDropzone"] {padding: 0; border: 0; background: none; min-height: 3rem}
[data-testid="stFileUploaderDropzone"] button p {font-size: 0}
[data-testid="stFileUploaderDropzone"] button p::after {content: "Take or choose"; font-size: 1rem}
@media (min-width: 641px) {
  [data-testid="stLayoutWrapper"]:has(> .st-key-to_what_follows, > .st-key-pages_folded,
    > .st-key-calls_folded) {display: none}}
@media (max-width: 640px) {
  [data-testid="stLayoutWrapper"]:has(> .st-key-pages, > .st-key-calls) {display: none}
  [data-testid="stMainBlockContainer"] [data-testid="stVerticalBlock"] {gap: 0.7rem}
  [data-testid="stMainBlockContainer"] [data-testid="stHorizontalBlock"] {gap: 0.7rem}
  [data-testid="stHeading"] :is(h1, h2, h3) {padding-bottom: 0.8rem}
  [data-testid="stPageLink"] {margin: 0.2rem 0}
  [data-testid="stAlertContainer"] {padding: 0.6rem 0.6rem 0.6rem 0.7rem}
}
[data-testid="stAlertContainer"] p:not(:last-child) {margin-bottom: 0.3rem}
[data-testid="stAlertContainer"] ul {padding-left: 1.1rem}
[data-testid="stAlertContainer"] li {margin: 0 0 0.2rem 0; padding: 0; line-height: 1.35}
.st-key-to_what_follows a {display: inline-block; min-height: 2.7rem; padding-top: 0.6rem}
.st-key-stop p, .st-key-stop li {font-size: 1.45rem; line-height: 1.4}
.st-key-stop [data-testid="stHeading"] h1 {font-size: 2rem}
.st-key-stop {border: 0.4rem solid var(--stop) !important}
[class*="st-key-say"] {border-left: 0.4rem solid var(--ink); padding-left: 0.8rem}
[class*="st-key-say"] p {font-size: 1.25rem; line-height: 1.4}
[data-testid="stHtml"] .suspects {list-style: none; margin: 0; padding: 0}
[data-testid="stHtml"] .suspects li {margin: 0 0 0.9rem 0; padding: 0;
  font-size: 1rem; line-height: 1.35}
.suspects .bar {height: 0.9rem; margin-top: 0.15rem; border: 1px solid var(--line)}
.suspects .bar div {box-sizing: border-box; height: 100%; background: var(--fill);
  border-right: 2px solid var(--ink)}
.suspects .beside .bar div {background: none}
.st-key-loud p {font-size: 1.25rem; line-height: 1.35; font-weight: 600}
[data-testid="stAlertContainer"] {border-left: 0.5rem solid currentColor}
[data-testid="stAlertContainer"] p, [data-testid="stAlertContainer"] li {
  color: var(--ink)}
[data-testid="stButtonGroup"] button:is([aria-checked="true"], [aria-pressed="true"],
  [aria-selected="true"], [data-selected="true"]) {border: 2px solid var(--ink); color: var(--ink)}
[data-testid="stButtonGroup"] button:is([aria-checked="true"], [aria-pressed="true"],
  [aria-selected="true"], [data-selected="true"]) p {font-weight: 700; color: var(--ink)}
[data-testid="stButtonGroup"] button:is([aria-checked="true"], [aria-pressed="true"],
  [aria-selected="true"], [data-selected="true"]) p::before {content: "✓ "}
</style>
"""


_LETTERS = {"normal": 18, "large": 21, "largest": 25}  # px

_STRONG = """
<style>
[data-testid="stApp"], [data-testid="stPopoverBody"] {background: #fff; color: #000}
[data-testid="stApp"] :is(p, li, label, h1, h2, h3, summary, a, input) {color: #000 !important}
[data-testid="stApp"] :is(button, input, details, [data-testid="stPageLink"] a) {
  background: #fff !important; border: 3px solid #000 !important}
[data-testid="stAlertContainer"] {background: #fff !important; border: 3px solid #000;
  border-left-width: 1rem}
[data-testid="stApp"] button:is([kind="primary"], [kind="primaryFormSubmit"]) {
  background: #000 !important}
[data-testid="stApp"] button:is([kind="primary"], [kind="primaryFormSubmit"]) p {
  color: #fff !important}
</style>
"""

_THEME = """
<script>
(() => {  // Streamlit keeps the theme for each address by itself; ask for ours, once a load
  const wanted = "%s", kept = "sightport-theme";
  const keys = %s.map(path => `stActiveTheme-/${path}-v2`);
  const now = key => { try { return JSON.parse(localStorage.getItem(key)) } catch { return null } };
  const own = `stActiveTheme-${location.pathname}-v2`;
  const other = (now(own) || "System") !== wanted;
  for (const key of [own, ...keys]) localStorage.setItem(key, JSON.stringify(wanted));
  if (other && sessionStorage.getItem(kept) !== wanted + location.pathname) {
    sessionStorage.setItem(kept, wanted + location.pathname);
    location.reload();
  }
})();
</script>
"""

_THEMES = {"device": "System", "light": "Light", "dark": "Dark", "plant_room": "Light"}


def dress(settings: Preferences, paths: Sequence[str]) -> None:
    """Apply the style and the user's settings of it; once a run, before anything is shown."""
    own = f"html {{font-size: {_LETTERS[settings.size]}px}} {_COLOURS[settings.look]}"
    st.html(f"<style>{own}</style>" + _STYLE + (_STRONG if settings.look == "plant_room" else ""))
    st.html(
        _THEME % (_THEMES[settings.look], json.dumps(list(paths))), unsafe_allow_javascript=True
    )


def to_the_top(stamp: object) -> None:
    """Scroll to the top whenever `stamp` is another than before: a new step begins there."""
    st.html(
        f"<script>/* {stamp} */"
        "document.querySelector('[data-testid=stMain]').scrollTo(0, 0)</script>",
        unsafe_allow_javascript=True,
    )


def plain(text: str) -> str:
    """Text of a person or a file as Streamlit's markdown shows it, letter for letter."""
    text = html.escape(text, quote=False)
    for sign in "\\`*_[]#$~|:":
        text = text.replace(sign, f"\\{sign}")
    return text
