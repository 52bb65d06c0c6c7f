"""What the trade knows: its forms, how it is loaded, the graph over it, and its review.

`load` turns a folder of YAML into one frozen `Knowledge`; `graph` answers what joins what;
`engine.knowledge.review` says where the knowledge is thin.
"""

from engine.knowledge.loading import Knowledge, load

__all__ = ["Knowledge", "load"]
