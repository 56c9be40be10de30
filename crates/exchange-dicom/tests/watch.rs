//! The watched folder: only whole files, no links, and a sentence for what is refused.

mod common;

use common::{Memory, film_file};
use exchange_dicom::inbox::{Origin, Refusal};
use exchange_dicom::watch::{Looked, Watch, WatchLimits};
use std::fs;
use time::macros::datetime;
use time::{Duration, OffsetDateTime};

const START: OffsetDateTime = datetime!(2026-05-17 08:00 UTC);

fn after(seconds: i64) -> OffsetDateTime {
    START + Duration::seconds(seconds)
}

#[tokio::test]
async fn a_film_is_taken_at_the_second_look_and_moved_away() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.dcm"), film_file(1)).unwrap();
    let (inbox, mut watch) = (
        Memory::default(),
        Watch::new(folder.path(), WatchLimits::default()),
    );
    let first = watch.look(START, &inbox).await.unwrap();
    assert_eq!((first.taken, first.waiting, inbox.count()), (0, 1, 0));
    let early = watch.look(after(2), &inbox).await.unwrap();
    assert_eq!(early.taken, 0);
    let second = watch.look(after(6), &inbox).await.unwrap();
    assert_eq!(
        second,
        Looked {
            taken: 1,
            refused: 0,
            waiting: 0
        }
    );
    assert!(folder.path().join("taken/a.dcm").is_file());
    assert!(!folder.path().join("a.dcm").exists());
    let kept = inbox.kept.lock().unwrap();
    assert_eq!(kept[0].file, film_file(1));
    assert_eq!(
        kept[0].origin,
        Origin::Folder {
            file_name: "a.dcm".into()
        }
    );
}

#[tokio::test]
async fn a_file_that_grows_is_left_alone_until_it_stands_still() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dcm");
    let whole = film_file(1);
    let (inbox, mut watch) = (
        Memory::default(),
        Watch::new(folder.path(), WatchLimits::default()),
    );
    for (step, share) in [3, 2, 1].into_iter().enumerate() {
        fs::write(&path, &whole[..whole.len() / share]).unwrap();
        watch.look(after(10 * step as i64), &inbox).await.unwrap();
        assert_eq!(inbox.count(), 0);
    }
    watch.look(after(60), &inbox).await.unwrap();
    assert_eq!(inbox.kept.lock().unwrap()[0].file, whole);
}

#[tokio::test]
async fn what_is_no_film_is_moved_beside_a_sentence_that_says_why() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("list.txt"), "Invented^Person").unwrap();
    let mut cut = film_file(1);
    cut.truncate(3000);
    fs::write(folder.path().join("cut.dcm"), cut).unwrap();
    let (inbox, mut watch) = (
        Memory::default(),
        Watch::new(folder.path(), WatchLimits::default()),
    );
    watch.look(START, &inbox).await.unwrap();
    let second = watch.look(after(9), &inbox).await.unwrap();
    assert_eq!(
        second,
        Looked {
            taken: 0,
            refused: 2,
            waiting: 0
        }
    );
    for name in ["list.txt", "cut.dcm"] {
        assert!(folder.path().join("refused").join(name).is_file());
        let why =
            fs::read_to_string(folder.path().join(format!("refused/{name}.why.txt"))).unwrap();
        assert!(
            why.starts_with("Found ") && why.trim_end().ends_with('.'),
            "{why}"
        );
        assert!(!why.contains("Invented"));
    }
}

#[tokio::test]
async fn no_link_is_followed_and_no_subfolder_is_entered() {
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("other.dcm"), film_file(1)).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(
        outside.path().join("other.dcm"),
        folder.path().join("a.dcm"),
    )
    .unwrap();
    std::os::unix::fs::symlink(outside.path(), folder.path().join("b")).unwrap();
    let (inbox, mut watch) = (
        Memory::default(),
        Watch::new(folder.path(), WatchLimits::default()),
    );
    for seconds in [0, 10, 20] {
        let looked = watch.look(after(seconds), &inbox).await.unwrap();
        assert_eq!(looked, Looked::default());
    }
    assert!(outside.path().join("other.dcm").is_file());
}

#[tokio::test]
async fn a_link_in_place_of_the_folder_of_taken_films_stops_the_look() {
    let outside = tempfile::tempdir().unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(outside.path(), folder.path().join("taken")).unwrap();
    let mut watch = Watch::new(folder.path(), WatchLimits::default());
    assert!(watch.look(START, &Memory::default()).await.is_err());
}

#[tokio::test]
async fn a_film_of_the_same_name_does_not_replace_the_one_taken_before() {
    let folder = tempfile::tempdir().unwrap();
    let (inbox, mut watch) = (
        Memory::default(),
        Watch::new(folder.path(), WatchLimits::default()),
    );
    for (i, start) in [(1, 0), (2, 100)] {
        fs::write(folder.path().join("a.dcm"), film_file(i)).unwrap();
        watch.look(after(start), &inbox).await.unwrap();
        watch.look(after(start + 9), &inbox).await.unwrap();
    }
    assert_eq!(
        fs::read(folder.path().join("taken/a.dcm")).unwrap(),
        film_file(1)
    );
    assert_eq!(
        fs::read(folder.path().join("taken/a.dcm-2")).unwrap(),
        film_file(2)
    );
}

#[tokio::test]
async fn a_film_for_which_there_is_no_room_is_tried_again() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.dcm"), film_file(1)).unwrap();
    let full = Memory {
        refuse: Some(Refusal::NoRoom("the disk is full".into())),
        ..Memory::default()
    };
    let mut watch = Watch::new(folder.path(), WatchLimits::default());
    watch.look(START, &full).await.unwrap();
    let looked = watch.look(after(9), &full).await.unwrap();
    assert_eq!(looked.waiting, 1);
    let looked = watch.look(after(12), &Memory::default()).await.unwrap();
    assert_eq!(looked.taken, 1);
}

#[tokio::test]
async fn a_file_that_is_too_large_is_refused_unread() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.dcm"), film_file(1)).unwrap();
    let limits = WatchLimits {
        file_bytes: 1000,
        ..WatchLimits::default()
    };
    let mut watch = Watch::new(folder.path(), limits);
    watch.look(START, &Memory::default()).await.unwrap();
    let looked = watch.look(after(9), &Memory::default()).await.unwrap();
    assert_eq!(looked.refused, 1);
}
