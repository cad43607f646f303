"""The invented workshop. Only `demo`, `new`, tests and studies import it."""
