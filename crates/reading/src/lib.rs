//! Points on a view to readings with error; yardsticks; agreement between readers
