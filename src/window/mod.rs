//! The event loop on the main thread, the hand-over of the surface, the egui frame.
