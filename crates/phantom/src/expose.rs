//! How does a drawn foot become a film?
