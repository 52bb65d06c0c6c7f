"""What is probably wrong: an exact posterior over sets of causes.

`network`   turns knowledge, complaint and circumstances into arrays
`sets`      the fault sets, and how present causes combine to a check's outcome
`posterior` weights over the sets, and what findings and repairs do to them
`evidence`  how much probability the sets that are not listed still hold
`readings`  a measured value as soft evidence about bands
"""
