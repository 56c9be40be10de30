// The crosses over the film, and what a proposal would place: one small drawing in stage pixels.

import type { Point } from "./turn.js";

export class Marks {
  readonly #parts: string[] = [];

  cross([x, y]: Point, kind: string, reach: number): void {
    this.#path(kind, `M${x - reach} ${y}H${x - 2}M${x + 2} ${y}H${x + reach}M${x} ${y - reach}V${y - 2}M${x} ${y + 2}V${y + reach}`);
  }

  ring([x, y]: Point, kind: string, radius: number): void {
    this.#path(kind, `M${x - radius} ${y}a${radius} ${radius} 0 1 0 ${2 * radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0`);
  }

  line(from: Point, to: Point, kind: string): void {
    this.#path(kind, `M${from.join(" ")}L${to.join(" ")}`);
  }

  #path(kind: string, d: string): void {
    this.#parts.push(`<path class="edge" d="${d}"/><path class="${kind}" d="${d}"/>`);
  }

  svg(): string {
    return `<svg>${this.#parts.join("")}</svg>`;
  }
}
