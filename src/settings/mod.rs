//! What is kept about this machine and its players: settings.toml and player.toml.
