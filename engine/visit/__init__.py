"""One diagnosis from complaint to closing: events in, next step out.

`events`   what can happen in a visit
`state`    the fold of the events: what is known, open, done and proven
`thinking` belief and planner asked about a state
`view`     the answer: status, suspects, next step, closing
`keeping`  events stored before anybody moves on; the use cases of screens and command line
`consult`  one case from a file, without storing anything
`chart`    a complaint's fault paths, compiled and printed
"""
