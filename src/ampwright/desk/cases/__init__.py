"""Use cases, a module a station; command line and page call these and nothing below."""
