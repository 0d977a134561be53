"""Many site files in one run: found, checked, compared with what was granted and with an earlier run."""
