//! What is built in: complete, without faults, and the same as the folder.

use knowledge::Knowledge;

#[test]
fn the_built_in_folder_has_no_fault() {
    if let Err(faults) = Knowledge::from_texts(Knowledge::built_in_files()) {
        let told: Vec<String> = faults.iter().map(|f| f.to_string()).collect();
        panic!("{} faults:\n{}", told.len(), told.join("\n"));
    }
}
