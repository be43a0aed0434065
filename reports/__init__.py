"""Job sheets: what fills them, and their templates."""
