//! The command line: one thin file a command; arguments in, exit code out. No logic of its own.
