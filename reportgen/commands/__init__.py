"""The commands, one module each, and what they share: order, stamp, pool and cache."""
