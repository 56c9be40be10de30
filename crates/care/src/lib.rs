//! First ladder proposal with reasons and cautions
