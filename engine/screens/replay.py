"""Replay: a visit looked at again, one moment a screen, with what was advised and believed."""

import streamlit as st

from engine.errors import SightportError
from engine.screens.components import dress, held, replaying

known = held.known()
visit = held.visit()
replay = held.shown_again(visit)
moments = len(replay.headings)

st.title("Replay")
replaying.way_back(visit)
replaying.doubts(held.store(), known, visit)
try:
    number = replaying.wanted(moments)
    moment = replay.at(number)
except SightportError as error:
    st.error(held.sentence(error))
    replaying.ways_on(visit, moments)
    st.stop()
dress.to_the_top((visit.id, number))
replaying.turn(number, moments)
replaying.show(moment, moments, folded=replaying.hidden())
replaying.jump(replay.headings, number)
