// The device from above, toes up: the foot's outline, the border of the shell, points and places of the trim
// line, and where the section is taken. Left is left, as one sees one's own feet.

import type { FootHead, Place, PreviewHead, Shapes } from "./api.js";
import { svg } from "./svg.js";
import { type Thing, at, id, things } from "./things.js";

/** Millimetres around the foot. */
const MARGIN = 14;

export class Plan {
  readonly element = svg("svg", { class: "b-plan", tabindex: "0", role: "application", "aria-roledescription": "plan", preserveAspectRatio: "xMidYMid meet" });
  readonly #foot = svg("polygon", { class: "foot" });
  readonly #rim = svg("polygon", { class: "rim" });
  readonly #cut = svg("line", { class: "cut" });
  readonly #words = svg("g", { class: "words" });
  readonly #marks = svg("g", { class: "marks" });
  #rear = 0;
  #along: number | null = null;
  #half = 60;

  constructor() {
    this.element.append(this.#foot, this.#rim, this.#cut, this.#words, this.#marks);
  }

  showFoot({ head }: Shapes<FootHead>): void {
    const places = head.outline.map(([x, y]) => this.#place([x, y, 0]));
    this.#foot.setAttribute("points", places.map((p) => p.join(",")).join(" "));
    const xs = places.map((p) => p[0]);
    const ys = places.map((p) => p[1]);
    const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    this.#half = Math.max(-left, right) + 6;
    this.element.setAttribute("viewBox", `${-this.#half - MARGIN} ${top - 8} ${2 * (this.#half + MARGIN)} ${bottom - top + 26}`);
    const inner = head.side === "left" ? 1 : -1;
    const beside = inner * (this.#half + 4);
    this.#words.replaceChildren(
      svg("text", { x: beside, y: top + 0.55 * (bottom - top), class: "side", transform: `rotate(${-90 * inner} ${beside} ${top + 0.55 * (bottom - top)})`, "text-anchor": "middle" }, "inner side"),
      svg("path", { class: "ruler", d: `M -25 ${bottom + 9} h 50 m -50 -2 v 4 m 10 -3 v 2 m 10 -2 v 2 m 10 -2 v 2 m 10 -2 v 2 m 10 -3 v 4` }),
      svg("text", { x: 28, y: bottom + 11, class: "ruler-word" }, "50 mm"),
    );
  }

  #place([x, y]: Place): [number, number] {
    return [-y, -x];
  }

  /** A move on the plan, in millimetres of the foot's frame. */
  move(dx: number, dy: number): [number, number] {
    const scale = this.element.getScreenCTM()?.a ?? 1;
    return [-dy / scale, -dx / scale];
  }

  show(head: PreviewHead, chosen: string, rear: number): void {
    this.#rear = rear;
    this.lead(head.rim);
    this.#marks.replaceChildren(...things(head).map((t) => this.#mark(t, id(t) === chosen)));
    this.cutAt(this.#along);
  }

  lead(rim: Place[]): void {
    this.#rim.setAttribute("points", rim.map((p) => this.#place(p).map((c) => c.toFixed(1)).join(",")).join(" "));
  }

  #mark(thing: Thing, chosen: boolean): SVGElement {
    const [x, y] = this.#place(at(thing));
    const g = svg("g", { class: `${thing.kind}${chosen ? " chosen" : ""}`, transform: `translate(${x.toFixed(2)} ${y.toFixed(2)})` });
    g.dataset["thing"] = id(thing);
    if (thing.kind === "point") g.append(svg("path", { d: "M -4 0 H 4 M 0 -4 V 4" }), svg("circle", { r: 6, class: "hit" }));
    else g.append(svg("circle", { r: thing.handle.moved ? 2.6 : 1.9 }), svg("circle", { r: 5.5, class: "hit" }));
    if (thing.kind === "trim") {
      // The number stands outside of the line.
      const [ox, oy] = this.#place(thing.handle.out);
      const long = Math.hypot(ox, oy) || 1;
      g.append(svg("text", { x: ((6.5 * ox) / long).toFixed(1), y: ((6.5 * oy) / long + 2).toFixed(1), "text-anchor": "middle" }, String(thing.handle.number)));
    }
    return g;
  }

  cutAt(along: number | null): void {
    this.#along = along;
    this.#cut.toggleAttribute("hidden", along === null);
    if (along === null) return;
    const y = -(this.#rear + along);
    for (const [key, value] of Object.entries({ x1: -this.#half, x2: this.#half, y1: y, y2: y })) this.#cut.setAttribute(key, value.toFixed(1));
  }
}
