"""Sightport finds what is wrong with a gas-fired condensing boiler.

The packages below stand in layers; each imports only what stands under it (checked by machine,
see ``[tool.importlinter]`` in pyproject.toml):

==============  =====================================================================
screens         Streamlit pages: ask, call one use case, show
__main__        the same use cases on the command line
visit           one diagnosis from complaint to closing: events in, next step out
planner         which step next
explain         why that step, in a technician's words
belief          what is probably wrong
safety          what must not go on, or must not be offered
knowledge       schema, loading, graph, review of the knowledge
physics         pure calculations
units           conversion between people's units and SI
records         storage of visits
errors          what can go wrong, in words for the person who can mend it
==============  =====================================================================
"""
