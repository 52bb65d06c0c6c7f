"""Sentences to read out, as they stand: in quotes and in large letters."""

from collections.abc import Iterable

import streamlit as st

from engine.screens.components.dress import plain


def say(sentences: Iterable[str], title: str = "Say", key: str = "say") -> None:
    """Read out word for word."""
    lines = [f"“{plain(text)}”" for text in sentences]
    if lines:
        with st.container(key=key):
            st.write(f"**{title}**")
            st.markdown("\n\n".join(lines))
