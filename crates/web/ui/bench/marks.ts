// The points and places of the trim line over the picture, sharp at every zoom.

import { svg } from "./svg.js";
import { type Thing, at, id, name } from "./things.js";
import type { Stage } from "./stage.js";

/** A thing is taken within this many CSS pixels. */
const REACH = 22;

export class Marks {
  readonly element = svg("svg", { class: "b-marks", "aria-hidden": "true" });
  #things: Thing[] = [];
  #chosen = "";

  constructor(private readonly stage: Stage) {}

  show(things: Thing[], chosen: string): void {
    this.#things = things;
    this.#chosen = chosen;
    this.place();
  }

  place(): void {
    const made: SVGElement[] = [];
    let last: SVGElement | null = null;
    for (const thing of this.#things) {
      const [x, y] = this.stage.onCanvas(at(thing));
      const chosen = id(thing) === this.#chosen;
      const g = svg("g", { class: `${thing.kind}${chosen ? " chosen" : ""}`, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` });
      if (thing.kind === "point") g.append(svg("path", { d: "M -7 0 H 7 M 0 -7 V 7", class: "halo" }), svg("path", { d: "M -7 0 H 7 M 0 -7 V 7" }));
      else g.append(svg("circle", { r: chosen ? 6 : 4 }));
      if (chosen) {
        const word = name(thing);
        g.append(svg("text", { x: 11, y: -9, class: "halo" }, word), svg("text", { x: 11, y: -9 }, word));
        last = g;
      } else {
        made.push(g);
      }
    }
    if (last) made.push(last);
    this.element.replaceChildren(...made);
  }

  /** The thing at a place of the canvas; of several the nearest, the chosen one before all. */
  near(x: number, y: number): Thing | null {
    let best: { thing: Thing; far: number } | null = null;
    for (const thing of this.#things) {
      const [u, v] = this.stage.onCanvas(at(thing));
      const far = Math.hypot(u - x, v - y) - (id(thing) === this.#chosen ? 6 : 0);
      if (far < REACH && (!best || far < best.far)) best = { thing, far };
    }
    return best?.thing ?? null;
  }
}
