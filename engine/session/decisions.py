"""What each decision means for who works, who comes and what is left off: the sets that sheets and interviews go by."""

from __future__ import annotations

from engine.knowledge.properties import Decision

HANDED_ON: frozenset[Decision] = frozenset({"send_technician", "call_electrician", "other_trade", "make_safe"})
"""Somebody else takes the job over."""
BY_ITS_AMOUNTS: frozenset[Decision] = frozenset({"repair_here", "order_and_return", "sell_and_treat", "check_at_home"})
"""The repair itself follows, and nobody else works out what it takes."""
OWN_WORK: frozenset[Decision] = frozenset(
    {"sell_and_treat", "check_at_home", "wait", "close_pool", "nothing_to_repair"}
)
"""The customer does what is to be done, with what is sold now."""
AT_HOME: frozenset[Decision] = OWN_WORK - {"nothing_to_repair"}
"""The customer does it at home, and can say later how it went."""
NOT_YET: frozenset[Decision] = frozenset({"bring_sample", "look_and_call", "quote"})
"""The work waits for what the customer brings, sees or decides."""
ON_THE_BENCH: frozenset[Decision] = frozenset({"bring_cell", "bring_pack"})
"""The work is done at the shop, on what is brought there."""
OTHERS_COME: frozenset[Decision] = frozenset({"send_technician", "call_electrician"})
"""Somebody comes to the pool for a work that has a name."""
VISITS: frozenset[Decision] = frozenset({"send_technician", "order_and_return"})
"""A technician comes, and packs for it."""
LEFT_OFF: frozenset[Decision] = ON_THE_BENCH | {"send_technician"}
"""The unit stays off until then, where the work needs it off."""
SHOCK: frozenset[Decision] = frozenset({"call_electrician"})
"""Current may reach the water or the deck."""
