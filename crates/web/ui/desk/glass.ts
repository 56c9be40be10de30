// The loupe: a small round canvas over the film, sampled from the grey levels themselves, so that moving it
// leaves the film's own canvas untouched.

import type { Grey, Look } from "./light.js";
import { blocks } from "./light.js";
import type { Point, Size, Turn } from "./turn.js";
import { storedFromShown } from "./turn.js";

export const GLASS_RADIUS = 82; // CSS pixels

export class Glass {
  readonly canvas = document.createElement("canvas");
  #grey: Grey | null = null;
  readonly #size: Size;
  #drawn = "";

  constructor(size: Size) {
    this.#size = size;
    this.canvas.className = "desk-glass";
    this.canvas.hidden = true;
    this.canvas.style.width = this.canvas.style.height = `${2 * GLASS_RADIUS}px`;
  }

  take(grey: Grey): void {
    this.#grey = grey;
    this.#drawn = "";
  }

  hide(): void {
    this.canvas.hidden = true;
  }

  /** Shows the film about `on` (shown picture) at `zoom` CSS pixels for a film pixel; its middle at `at`. */
  show(at: Point, on: Point, zoom: number, look: Look, turn: Turn): void {
    if (!this.#grey) return;
    this.canvas.hidden = false;
    this.canvas.style.transform = `translate(${at[0] - GLASS_RADIUS}px, ${at[1] - GLASS_RADIUS}px)`;
    const says = JSON.stringify([on, zoom, look, turn, window.devicePixelRatio]);
    if (says === this.#drawn) return;
    this.#drawn = says;
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const side = Math.round(2 * GLASS_RADIUS * ratio);
    if (this.canvas.width !== side) this.canvas.width = this.canvas.height = side;
    const pen = this.canvas.getContext("2d", { alpha: false, willReadFrequently: true });
    if (!pen) return;
    const picture = pen.createImageData(side, side);
    const out = new Uint32Array(picture.data.buffer);
    const { step, bytes } = this.#grey;
    const { width, height } = blocks(this.#size, step);
    const levels = new Uint16Array(bytes.buffer, bytes.byteOffset, width * height);
    // Turning and mirroring are straight, so one corner and two steps say where every pixel lies.
    const pixel = 1 / (zoom * ratio);
    const reach = ((side - 1) / 2) * pixel;
    const block = (p: Point): [number, number] => [(p[0] - (step - 1) / 2) / step, (p[1] - (step - 1) / 2) / step];
    const corner = block(storedFromShown([on[0] - reach, on[1] - reach], this.#size, turn));
    const right = block(storedFromShown([on[0] - reach + pixel, on[1] - reach], this.#size, turn));
    const down = block(storedFromShown([on[0] - reach, on[1] - reach + pixel], this.#size, turn));
    const [ax, ay, bx, by] = [right[0] - corner[0], right[1] - corner[1], down[0] - corner[0], down[1] - corner[1]];
    const gain = 255 / (65535 * Math.max(look.width, 1e-4));
    const offset = 255 * (0.5 - look.centre / Math.max(look.width, 1e-4));
    for (let row = 0, o = 0; row < side; row++) {
      let x = corner[0] + row * bx;
      let y = corner[1] + row * by;
      for (let column = 0; column < side; column++, o++, x += ax, y += ay) {
        if (x < -0.5 || y < -0.5 || x > width - 0.5 || y > height - 0.5) {
          out[o] = 0xff110e0c;
          continue;
        }
        const left = Math.min(Math.max(Math.floor(x), 0), width - 1);
        const top = Math.min(Math.max(Math.floor(y), 0), height - 1);
        const fx = Math.min(Math.max(x - left, 0), 1);
        const fy = Math.min(Math.max(y - top, 0), 1);
        const next = left + 1 < width ? 1 : 0;
        const i = top * width + left;
        const j = top + 1 < height ? i + width : i;
        const upper = (levels[i] ?? 0) * (1 - fx) + (levels[i + next] ?? 0) * fx;
        const lower = (levels[j] ?? 0) * (1 - fx) + (levels[j + next] ?? 0) * fx;
        let g = (upper * (1 - fy) + lower * fy) * gain + offset;
        g = g < 0 ? 0 : g > 255 ? 255 : Math.round(g);
        if (look.inverted) g = 255 - g;
        out[o] = 0xff000000 | (g << 16) | (g << 8) | g;
      }
    }
    pen.putImageData(picture, 0, 0);
  }
}
