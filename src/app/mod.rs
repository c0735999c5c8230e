//! The untimed screens: cards, ratings, rests, pauses. No egui code runs during a trial.
