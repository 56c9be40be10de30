// The form beside the picture is the order: the hand writes into it, and everything is read from it.

import type { Limit, PointShown, Texts } from "./api.js";

type Field = HTMLInputElement | HTMLSelectElement;

/** A tenth by an arrow key, a whole one with Shift. */
const STEP = 0.1;

export class OrderForm {
  readonly element: HTMLFormElement;
  /** Called after a change by the person, with the field's name. */
  onChange: (field: string, settled: boolean) => void = () => {};

  constructor(element: HTMLFormElement) {
    this.element = element;
    element.addEventListener("change", (e) => this.#changed(e.target, true));
    element.addEventListener("keydown", (e) => this.#stepped(e));
    element.addEventListener("click", (e) => this.#taken(e.target));
    // Enter in a field is a change, not a page load.
    element.addEventListener("submit", (e) => {
      e.preventDefault();
      this.onChange("", true);
    });
    this.parts();
  }

  #changed(target: EventTarget | null, settled: boolean): void {
    if (!(target instanceof HTMLInputElement || target instanceof HTMLSelectElement) || !target.name || target.type === "hidden") return;
    this.clear(target.name);
    this.parts();
    this.onChange(target.name, settled);
  }

  #stepped(e: KeyboardEvent): void {
    const field = e.target;
    if (!(field instanceof HTMLInputElement) || field.dataset["number"] === undefined) return;
    if (e.key !== "ArrowUp" && e.key !== "ArrowDown") return;
    const now = Number(field.value.replace(",", ".").replace("−", "-") || "0");
    if (!Number.isFinite(now)) return;
    e.preventDefault();
    const by = (e.shiftKey ? 10 : 1) * STEP * (e.key === "ArrowUp" ? 1 : -1);
    field.value = written(now + by);
    this.#changed(field, false);
  }

  /** A proposal taken over by its button. */
  #taken(target: EventTarget | null): void {
    const button = target instanceof Element ? target.closest(".b-take") : null;
    const place = button?.closest<HTMLElement>("[data-take]");
    if (!place) return;
    const pairs = JSON.parse(place.dataset["take"] ?? "[]") as [string, string][];
    this.put(Object.fromEntries(pairs));
    this.parts();
    this.onChange(pairs[0]?.[0] ?? "", true);
  }

  texts(): Texts {
    const out: Texts = {};
    for (const field of this.#fields()) {
      if (field instanceof HTMLInputElement && field.type === "radio" && !field.checked) continue;
      if (field.type === "hidden") continue;
      // What belongs to something that is not there says nothing.
      const away = field.closest("[data-field][hidden]") !== null;
      if (away && field.type === "radio") continue;
      out[field.name] = away ? "" : field.value;
    }
    return out;
  }

  put(texts: Texts): void {
    for (const field of this.#fields()) {
      const text = texts[field.name];
      if (text === undefined || field.type === "hidden") continue;
      if (field instanceof HTMLInputElement && field.type === "radio") field.checked = field.value === text;
      else if (field !== document.activeElement || field.value.trim() !== text) field.value = text;
    }
    this.parts();
  }

  /** Where a point came to lie, and who put it there. */
  points(points: PointShown[]): Texts {
    const out: Texts = {};
    for (const p of points) {
      for (const [k, axis] of ["x", "y", "z"].entries()) out[`point.${p.key}.${axis}`] = p.texts[k] ?? "";
      const row = this.element.querySelector(`input[name="point.${p.key}.x"]`)?.closest("tr");
      const word = row?.querySelector("[data-placed]");
      if (word) word.textContent = p.by_hand ? "by hand" : "";
    }
    // A field that is being typed in is left alone.
    const active = document.activeElement;
    const held = active instanceof HTMLInputElement && active.name.startsWith("point.") ? active.name : "";
    const shown = Object.fromEntries(Object.entries(out).filter(([name]) => name !== held));
    this.put(shown);
    return shown;
  }

  *#fields(): Generator<Field> {
    for (const field of this.element.elements) {
      if ((field instanceof HTMLInputElement || field instanceof HTMLSelectElement) && field.name) yield field;
    }
  }

  /** What belongs to something that is not there takes no text; the texts behind proposals are compared. */
  parts(): void {
    const texts = this.texts();
    const whole: [string, string[]][] = [
      ["inversion", ["inversion_rise", "inversion_inward"]],
      ["skive_depth", ["skive_angle", "skive_clipped"]],
      ["groove_depth", ["groove_width"]],
      ["relief_depth", ["relief_radius", "relief_forward", "relief_upward"]],
      ["shoe_heel", ["shoe_ball", "toe_box"]],
      ["post", ["post_length", "post_bevel", "post_lift", "post_own"]],
      ["forepost", ["forepost_length", "forepost_own"]],
    ];
    for (const [first, rest] of whole) {
      const there = (texts[first] ?? "").trim() !== "";
      for (const name of rest) this.element.querySelector<HTMLElement>(`[data-field="${name}"]`)?.toggleAttribute("hidden", !there);
    }
    for (const place of this.element.querySelectorAll<HTMLElement>("[data-take]")) {
      const pairs = JSON.parse(place.dataset["take"] ?? "[]") as [string, string][];
      const differs = pairs.some(([name, text]) => (texts[name] ?? "") !== text && this.#isShown(name));
      place.classList.toggle("differs", differs);
      place.querySelector<HTMLElement>(".b-take")?.toggleAttribute("hidden", !differs);
    }
    const moved = Object.entries(texts).filter(([name, text]) => name.startsWith("trim.") && text.trim() !== "" && Number(text) !== 0).length;
    const count = this.element.querySelector("[data-trim-count]");
    if (count) count.textContent = `${moved} moved`;
  }

  #isShown(name: string): boolean {
    return !this.element.querySelector(`[data-field="${name}"][hidden]`);
  }

  /** One sentence at the field; without a field, at the head of the form. */
  fault(field: string, words: string): void {
    const place = this.#said(field);
    if (!place) {
      this.#head(words);
      return;
    }
    const note = document.createElement("p");
    note.className = "field-fault";
    note.id = `fault-${field}`;
    note.textContent = words;
    place.querySelector(".field-fault")?.remove();
    place.append(note);
    for (const input of this.#inputs(field)) {
      input.setAttribute("aria-invalid", "true");
      input.setAttribute("aria-errormessage", note.id);
    }
    note.closest("details")?.setAttribute("open", "");
  }

  clear(field: string): void {
    this.#said(field)?.querySelector(".field-fault")?.remove();
    for (const input of this.#inputs(field)) input.removeAttribute("aria-invalid");
  }

  clearFaults(): void {
    for (const note of this.element.querySelectorAll(".b-said .field-fault")) note.remove();
    for (const input of this.element.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
    this.#head("");
  }

  #head(words: string): void {
    const head = document.getElementById("fault");
    if (!head) return;
    head.hidden = words === "";
    if (head.textContent !== words) head.textContent = words;
  }

  #inputs(field: string): Iterable<Element> {
    return field ? this.element.querySelectorAll(`[name="${CSS.escape(field)}"]`) : [];
  }

  #said(field: string): Element | null {
    if (!field) return null;
    if (field.startsWith("point.")) return this.element.querySelector("[data-said-points]");
    if (field.startsWith("trim.")) return this.element.querySelector("[data-said-trim]");
    return this.element.querySelector(`[data-field="${CSS.escape(field)}"] [data-said]`);
  }

  /** Limits as sentences at their fields. */
  limits(limits: Limit[]): void {
    for (const place of this.element.querySelectorAll(".b-said")) {
      for (const old of place.querySelectorAll(".b-limit")) old.remove();
    }
    for (const limit of limits) {
      const place = this.#said(limit.field);
      if (place) place.append(limitLine(limit, "p"));
    }
  }
}

/** `holds back  The heel cup is …`, with the sources' letters. */
export function limitLine(limit: Limit, tag: "p" | "li"): HTMLElement {
  const line = document.createElement(tag);
  line.className = "b-limit";
  const word = document.createElement("span");
  word.className = `state ${limit.class}`;
  word.textContent = limit.severity;
  line.append(word, ` ${limit.words}`);
  for (const why of limit.why) {
    for (const source of why.sources) {
      const sup = document.createElement("sup");
      sup.className = "source";
      const link = document.createElement("a");
      link.href = `/sources#${source}`;
      link.textContent = why.letter;
      sup.append(link);
      line.append(" ", sup);
    }
  }
  return line;
}

/** A number as the server writes it: at most hundredths, no zeros at the end. */
export function written(value: number, decimals = 2): string {
  const text = value.toFixed(decimals);
  const short = text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return short === "-0" ? "0" : short;
}
