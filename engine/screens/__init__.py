"""Streamlit pages: each asks, calls one use case of `engine.visit`, and shows what comes back."""
