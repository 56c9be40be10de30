//! Where does the soft tissue end?
