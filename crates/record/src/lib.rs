//! Patient, visit, film, letter: plain types without web or SQL
