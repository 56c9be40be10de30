// Everything beside the film: the strip of tools with their keys, the readings, the next point with its
// drawing, and the list of points. Only what the server said is shown; nothing is computed here.

import type { FilmMeta, List, Row } from "./api.js";
import type { History, Points } from "./history.js";
import { morph } from "./morph.js";

export interface Hands {
  choose(key: string): void;
  remove(key: string): void;
  press(key: string): void;
  accept(yes: boolean): void;
  compare(id: string): void;
}

const TOOLS: [string, string, string][] = [
  ["+", "+", "Larger"],
  ["-", "−", "Smaller"],
  ["0", "0", "Whole"],
  ["]", "]", "Softer"],
  ["[", "[", "Harder"],
  [".", ".", "Lighter"],
  [",", ",", "Darker"],
  ["I", "I", "Invert"],
  ["G", "G", "As taken"],
  ["L", "L", "Loupe"],
  ["T", "T", "Turn"],
  ["M", "M", "Mirror"],
  ["E", "E", "To the edge"],
  ["O", "O", "Circle"],
  ["X", "X", "Bone axis"],
  ["B", "B", "Ball"],
  ["K", "K", "Known length"],
  ["Z", "Z", "Undo"],
  ["Y", "Y", "Redo"],
];

function make<K extends keyof HTMLElementTagNameMap>(name: K, className: string, text = ""): HTMLElementTagNameMap[K] {
  const element = document.createElement(name);
  if (className) element.className = className;
  if (text) element.textContent = text;
  return element;
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

export class Panel {
  readonly side = make("section", "desk-side");
  readonly tools = make("div", "desk-tools");
  readonly beside = make("div", "desk-beside");
  readonly #rows = make("ul", "desk-rows");
  readonly #made = new Map<string, { says: string; item: HTMLElement }>();
  readonly #forAll = make("p", "desk-for-all");
  readonly #refused = make("details", "desk-refused");
  readonly #refusedHead = make("summary", "");
  readonly #refusedRows = make("ul", "");
  readonly #warnings = make("div", "desk-warnings");
  readonly #next = make("section", "desk-next");
  readonly #list = make("ol", "desk-points");
  readonly #voice = make("p", "desk-voice");
  readonly #saved = make("p", "desk-saved");
  readonly #proposal = make("div", "desk-proposal");
  readonly #facts = make("p", "desk-facts");
  readonly #buttons = new Map<string, HTMLButtonElement>();
  #drawn = "";

  constructor(private readonly meta: FilmMeta, private readonly hands: Hands) {
    this.side.setAttribute("aria-label", "Readings and points");
    this.tools.setAttribute("role", "toolbar");
    this.tools.setAttribute("aria-label", "Film");
    for (const [key, shown, words] of TOOLS) {
      const button = make("button", "");
      button.type = "button";
      button.append(make("span", "", words), make("kbd", "", shown));
      button.addEventListener("click", () => hands.press(key));
      this.tools.append(button);
      this.#buttons.set(key, button);
    }
    if (meta.others.length) {
      const label = make("label", "desk-compare", "Beside it ");
      const select = make("select", "");
      select.append(new Option("no other film", ""));
      for (const other of meta.others) select.append(new Option(other.label, other.id));
      select.addEventListener("change", () => hands.compare(select.value));
      label.append(select);
      this.tools.append(label);
    }
    this.#voice.setAttribute("role", "status");
    this.#saved.setAttribute("role", "status");
    this.#proposal.hidden = true;
    this.scaleWords(meta.scale_words);
    const keep = make("div", "desk-keep");
    const save = this.#button("Save", "S", () => hands.press("S"));
    const finish = this.#button("Finish this placing", "F", () => hands.press("F"));
    finish.classList.add("primary");
    keep.append(save, finish, this.#saved);
    const pointsHead = make("h2", "", "Points");
    pointsHead.id = "desk-points-head";
    this.#list.setAttribute("aria-labelledby", "desk-points-head");
    this.#refused.append(this.#refusedHead, this.#refusedRows);
    this.side.append(this.#next, this.#voice, this.#proposal, keep, make("h2", "", "Readings"), this.#facts, this.#warnings, this.#forAll, this.#rows, this.#refused, pointsHead, this.#list);
    for (const landmark of meta.landmarks) {
      const item = make("li", "");
      const choose = make("button", "");
      choose.type = "button";
      choose.dataset["point"] = landmark.key;
      choose.append(make("span", "name", landmark.name), make("span", "state", "missing"));
      choose.addEventListener("click", () => hands.choose(landmark.key));
      item.append(choose);
      this.#list.append(item);
    }
  }

  #button(words: string, key: string, press: () => void): HTMLButtonElement {
    const button = make("button", "");
    button.type = "button";
    button.append(make("span", "", words), make("kbd", "", key));
    button.addEventListener("click", press);
    return button;
  }

  say(words: string): void {
    this.#voice.textContent = words;
  }

  saved(words: string): void {
    this.#saved.textContent = words;
  }

  proposal(words: string | null): void {
    this.#proposal.hidden = words === null;
    if (words === null) return;
    this.#proposal.replaceChildren(make("p", "", words), this.#button("Take it", "Enter", () => this.hands.accept(true)), this.#button("Leave it", "Esc", () => this.hands.accept(false)));
  }

  scaleWords(words: string): void {
    const { side_words, view_words, stance_words } = this.meta;
    this.#facts.textContent = capital(`${side_words}, ${view_words}, ${stance_words}. ${words}`);
  }

  /** Asks for a size in millimetres; `take` gets a number above zero. */
  askSize(words: string, name: string, take: (mm: number) => void): void {
    const form = make("form", "");
    const label = make("label", "", `${name}, mm `);
    const field = make("input", "");
    field.type = "text";
    field.inputMode = "decimal";
    field.size = 7;
    label.append(field);
    const use = make("button", "primary", "Use this scale");
    const leave = this.#button("Leave it", "Esc", () => this.hands.accept(false));
    form.append(label, use, leave);
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      const mm = Number.parseFloat(field.value.replace(",", "."));
      if (mm > 0) take(mm);
      else this.say(`Found "${field.value}" as the size; expected millimetres such as 25.4.`);
    });
    form.addEventListener("keydown", (e) => {
      if (e.key === "Escape") this.hands.accept(false);
    });
    this.#proposal.hidden = false;
    this.#proposal.replaceChildren(make("p", "", words), form);
    field.focus();
  }

  points(now: Points, active: string | null, history: History): void {
    for (const button of this.#list.querySelectorAll<HTMLButtonElement>("button")) {
      const key = button.dataset["point"] ?? "";
      const placed = now.has(key);
      const optional = this.meta.landmarks.find((l) => l.key === key)?.optional ?? false;
      button.classList.toggle("placed", placed);
      if (key === active) button.setAttribute("aria-current", "true");
      else button.removeAttribute("aria-current");
      const state = button.querySelector(".state");
      const word = placed ? "placed" : optional ? "missing, optional" : "missing";
      if (state && state.textContent !== word) state.textContent = word;
    }
    this.#buttons.get("Z")?.toggleAttribute("disabled", !history.canUndo);
    this.#buttons.get("Y")?.toggleAttribute("disabled", !history.canRedo);
    this.#showNext(active, active !== null && now.has(active), now.size);
  }

  #showNext(key: string | null, placed: boolean, count: number): void {
    const state = `${key} ${placed} ${count}`;
    if (state === this.#drawn) return;
    this.#drawn = state;
    const landmark = this.meta.landmarks.find((l) => l.key === key);
    if (!landmark) {
      this.#next.replaceChildren(make("h2", "", "All points are placed"), make("p", "", "Choose one in the list to move it."));
      return;
    }
    const at = this.meta.landmarks.indexOf(landmark) + 1;
    const drawing = make("div", "desk-drawing");
    drawing.innerHTML = landmark.drawing_svg;
    const words = make("div", "");
    words.append(make("h2", "", landmark.name), make("p", "", landmark.definition), make("p", "quiet", `${placed ? "Placed; drag it or move it with the arrow keys." : "Press where it lies, or Enter to put it in the middle."} Point ${at} of ${this.meta.landmarks.length}.`));
    const steps = make("div", "desk-steps");
    steps.append(this.#button("Before", "P", () => this.hands.press("P")), this.#button("Next", "N", () => this.hands.press("N")), this.#button("Take away", "Delete", () => this.hands.remove(landmark.key)));
    words.append(steps);
    this.#next.replaceChildren(drawing, words);
  }

  readings(overlay: List, active: string | null): void {
    // What holds for every reading is said once, above them.
    const forAll = (overlay.rows[0]?.notes ?? []).filter((note) => overlay.rows.length > 1 && overlay.rows.every((row) => row.notes.includes(note)));
    this.#forAll.textContent = forAll.join(" ");
    // A moving point changes a few readings; the other rows stay the elements they are.
    const rows = overlay.rows.map((row) => this.#keptRow(row, active !== null && row.points.includes(active), forAll));
    if (rows.length !== this.#rows.childElementCount || rows.some((row, i) => row !== this.#rows.children[i])) this.#rows.replaceChildren(...rows);
    this.#refused.hidden = overlay.refused.length === 0;
    this.#refusedHead.textContent = `Not read yet: ${overlay.refused.length}`;
    this.#refusedRows.replaceChildren(
      ...overlay.refused.map((refused) => {
        const item = make("li", "");
        item.append(make("span", "name", refused.name), make("span", "why", refused.sentence));
        return item;
      }),
    );
    this.#warnings.replaceChildren(...overlay.warnings.map((w) => make("p", "warning", w)));
  }

  #keptRow(row: Row, touched: boolean, forAll: string[]): HTMLElement {
    const says = JSON.stringify([row, touched, forAll]);
    const kept = this.#made.get(row.measure);
    if (kept?.says === says) return kept.item;
    const item = this.#row(row, touched, forAll);
    if (kept) morph(kept.item, item);
    const stands = kept?.item ?? item;
    this.#made.set(row.measure, { says, item: stands });
    return stands;
  }

  #row(row: Row, touched: boolean, forAll: string[]): HTMLElement {
    const item = make("li", touched ? "touched" : "");
    item.dataset["measure"] = row.measure;
    const strip = make("span", "strip");
    strip.innerHTML = row.strip_svg;
    const head = make("span", "name", row.name);
    head.title = row.sign;
    item.append(head, make("span", "value", row.value), strip, make("span", `place ${row.place.replaceAll(" ", "-")}`, row.place));
    const sources = make("span", "sources");
    for (const y of row.yardsticks) {
      const link = make("a", "", `${y.words} `);
      link.href = `/sources#${encodeURIComponent(y.source)}`;
      link.append(make("sup", "", y.letter));
      sources.append(link);
    }
    item.append(sources);
    for (const note of row.notes) if (!forAll.includes(note)) item.append(make("span", "row-note", note));
    return item;
  }
}
