"""``plessor review``: a page on this machine where a person checks, corrects and signs."""
