// Starts the film desk in `#desk[data-film]`; without script the page below it works by itself.

import "./desk.css";
import { Desk } from "./api.js";
import { FilmDesk } from "./film-desk.js";

async function start(mount: HTMLElement): Promise<void> {
  const desk = new Desk(mount.dataset["film"] ?? "");
  const word = mount.querySelector("[data-progress]");
  const late = window.setTimeout(() => {
    if (word) word.textContent = "Opening the film.";
  }, 600);
  const ratio = Math.min(window.devicePixelRatio || 1, 2);
  try {
    // The film takes two thirds of a wide window, all of a narrow one.
    const width = ratio * window.innerWidth * (window.innerWidth > 1000 ? 2 / 3 : 1);
    const height = ratio * (window.innerHeight - mount.getBoundingClientRect().top);
    const coming = desk.coarse({ width: Math.max(width, 200), height: Math.max(height, 200) });
    coming.catch(() => {}); // told below, when it is waited for
    const film = new FilmDesk(mount, desk, await desk.meta(mount.dataset["again"] === "yes"));
    try {
      film.show(await coming);
    } catch (fault) {
      // Without its picture the desk is of no use; the tables are offered below it.
      film.tell(fault);
      mount.dataset["state"] = "failed";
      return;
    }
    mount.dataset["state"] = "ready";
    document.documentElement.classList.add("desk-live");
  } catch (fault) {
    mount.dataset["state"] = "failed";
    if (word) word.textContent = fault instanceof Error ? fault.message : "The film desk could not start; points and readings also stand as tables.";
  } finally {
    window.clearTimeout(late);
  }
}

const mount = document.getElementById("desk");
if (mount) void start(mount);
