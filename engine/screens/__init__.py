"""Streamlit pages: ask, call one use case, show. Nothing is computed here."""
