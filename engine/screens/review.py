"""Review: where the knowledge is thin, and how the advice fares on a cause."""

import streamlit as st

from engine.knowledge import review
from engine.screens.components import held, rehearsing
from engine.screens.components.dress import plain

known = held.known()
st.title("Review of the knowledge")
st.write(
    "Rules over every entry, for whoever writes the knowledge or signs it. A problem has to be "
    "mended before anybody relies on it, a remark is worth a look."
)
report = review.review(known)
for title, found in (("Problems", report.problems), ("Remarks", report.remarks)):
    st.header(f"{title}: {len(found)}")
    for one in found:
        st.markdown(f"- {plain(f'{one.file}, line {one.line}: {one.what}. Mend: {one.mend}.')}")
st.header("How much there is")
st.write(plain(", ".join(f"{count} {name}" for name, count in report.figures.items())) + ".")
rehearsing.show(known)
