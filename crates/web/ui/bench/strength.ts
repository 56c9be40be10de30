// Strength beside the form: a table that says everything in numbers, and maps for the picture.

import { type Api, Refusal, type Strength, type Texts } from "./api.js";
import { written } from "./form.js";
import type { Scale } from "./maps.js";
import { html } from "./svg.js";

export interface StrengthMap {
  key: string;
  words: string;
  scale: Scale;
  values: Float32Array;
}

export class StrengthPart {
  /** Called when there are new maps, or none any more. */
  onMaps: () => void = () => {};
  readonly #place = document.getElementById("strength");
  readonly #button = document.getElementById("strength-ask");
  #found: Strength | null = null;
  #stop: AbortController | null = null;

  constructor(private readonly api: Api, private readonly texts: () => Texts) {
    this.#button?.addEventListener("click", () => void (this.#stop ? this.#stop.abort() : this.#ask()));
  }

  /** The device is another one now. */
  outdated(): void {
    if (!this.#found) return;
    this.#found = null;
    this.#place?.prepend(html("p", { class: "note attention" }, "Computed before the last change; compute again."));
    this.onMaps();
  }

  maps(vertices: number): StrengthMap[] {
    const found = this.#found;
    if (!found || found.vertices !== vertices) return [];
    return found.maps.flatMap((map) => {
      const row = found.rows[map.row];
      if (!row) return [];
      const of = `${row.case}, ${row.held}`;
      const scale = (title: string, unit: string, [low, high]: [number, number]): Scale => ({ title, unit, low, high });
      return [
        { key: `motion.${map.row}`, words: `motion: ${of}`, scale: scale(`Motion, ${row.title.toLowerCase()}, ${row.held}`, "mm", map.motion_mm), values: map.motion },
        { key: `stress.${map.row}`, words: `stress: ${of}`, scale: scale(`Stress, ${row.title.toLowerCase()}, ${row.held}`, "MPa", map.stress_mpa), values: map.stress },
      ];
    });
  }

  async #ask(): Promise<void> {
    const place = this.#place;
    const button = this.#button;
    if (!place || !button) return;
    const words = button.textContent ?? "";
    this.#stop = new AbortController();
    button.textContent = "Stop";
    place.replaceChildren(html("p", { role: "status" }, "Computing every load case, free to slide and held …"));
    try {
      this.#found = await this.api.strength(this.texts(), this.#stop.signal);
      place.replaceChildren(...this.#table(this.#found));
      this.onMaps();
    } catch (fault) {
      const said = this.#stop.signal.aborted ? "Stopped; nothing was computed." : fault instanceof Refusal ? fault.message : "The strength could not be computed.";
      place.replaceChildren(html("p", { role: "status", class: "note attention" }, said));
    } finally {
      this.#stop = null;
      button.textContent = words;
    }
  }

  /** One row for each load case; free to slide and held stand below each other in it. */
  #table(s: Strength): Node[] {
    const number = (v: number | null, decimals: number): string => (v === null ? "–" : v.toFixed(decimals));
    const band = (b: [number, number] | null): string => (b && b[0].toFixed(1) !== b[1].toFixed(1) ? `${b[0].toFixed(1)} to ${b[1].toFixed(1)}` : "");
    const small = (words: string): Node[] => (words ? [html("br", {}), html("span", { class: "small quiet" }, words)] : []);
    const head = html("tr", {}, ...["Held how", "Arch drops", "Highest stress", "Safety"].map((w, k) => html("th", { scope: "col", class: k ? "number" : "" }, w)));
    const cases = new Map<string, typeof s.rows>();
    for (const row of s.rows) cases.set(row.case, [...(cases.get(row.case) ?? []), row]);
    const bodies = [...cases].map(([key, rows]) => {
      const first = rows[0];
      const lines = rows.flatMap((r) => {
        const low = r.safety !== null && r.safety < 1;
        const safety = html("td", { class: "number" }, low ? html("span", { class: "state outside" }, number(r.safety, 1)) : number(r.safety, 1), ...small(band(r.safety_band)), ...small(r.fatigue_safety === null ? "" : `fatigue ${number(r.fatigue_safety, 1)}`));
        const figures = html("tr", {}, html("th", { scope: "row" }, r.held), html("td", { class: "number" }, `${number(r.arch_drop_mm, 1)} mm`, ...small(band(r.arch_drop_band_mm))), html("td", { class: "number" }, `${number(r.stress_mpa, 1)} MPa`), safety);
        return r.place ? [figures, html("tr", { class: "b-worst" }, html("td", { colspan: "4" }, `Highest stress ${r.place}`))] : [figures];
      });
      const title = html("tr", { class: "b-case" }, html("th", { scope: "rowgroup", colspan: "4" }, `${key} ${first?.title ?? ""} `, html("span", { class: "small quiet" }, `${written(first?.on_shell_n ?? 0, 0)} N on the shell`)));
      return html("tbody", {}, title, ...lines);
    });
    const table = html("table", { class: "b-numbers b-strength" }, html("caption", { class: "hidden-words" }, "Strength, case by case"), html("thead", {}, head), ...bodies);
    const mass = s.masses.map((m) => `${m.body} ${m.grams === null ? "of unknown mass" : `${written(m.grams, 1)} g`}`).join(", ");
    return [
      html("p", { class: "small", role: "status" }, `At ${written(s.weight_kg, 1)} kg in ${s.material}: ${s.stiffness}. ${mass}.`),
      table,
      html("p", { class: "small" }, "Small figures: over the band of the stiffness. Safety is how many times the stress could grow until it reaches the allowable one."),
      html("h4", {}, "What the model leaves out"),
      html("ul", { class: "small" }, ...s.left_out.map((w) => html("li", {}, w))),
    ];
  }
}
