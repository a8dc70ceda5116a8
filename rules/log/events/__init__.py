"""Events by topic, one module each; `event` has them all as one type."""
