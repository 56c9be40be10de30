// Values on the shell as colours, with a legend that says them in numbers: no value is told by colour alone.

import { BufferAttribute, Color, type BufferGeometry } from "three";

export interface Scale {
  /** What is shown, with its unit. */
  title: string;
  unit: string;
  low: number;
  high: number;
}

/** From pale to dark in even steps of lightness, so that it reads without colour vision and on grey paper. */
const RAMP = ["#f3ecd2", "#d9d79f", "#a9c48f", "#6aa98a", "#368681", "#1f5f70", "#1c3a55"].map((c) => new Color(c));

export function colourOf(share: number): Color {
  const place = Math.min(Math.max(share, 0), 1) * (RAMP.length - 1);
  const at = Math.min(Math.floor(place), RAMP.length - 2);
  return (RAMP[at] as Color).clone().lerp(RAMP[at + 1] as Color, place - at);
}

function shareOf(scale: Scale, value: number): number {
  return scale.high > scale.low ? (value - scale.low) / (scale.high - scale.low) : 0.5;
}

export function paint(geometry: BufferGeometry, values: Float32Array | null, scale: Scale): void {
  const count = geometry.getAttribute("position").count;
  const colours = new Float32Array(3 * count);
  for (let i = 0; i < count; i++) colourOf(shareOf(scale, values ? (values[i] ?? scale.low) : scale.low)).toArray(colours, 3 * i);
  geometry.setAttribute("color", new BufferAttribute(colours, 3));
}

/** Five fields from low to high, each with its number. */
export function legend(scale: Scale): HTMLElement {
  const place = document.createElement("figure");
  place.className = "b-legend";
  const caption = document.createElement("figcaption");
  caption.textContent = scale.high > scale.low ? scale.title : `${scale.title}: ${scale.low.toFixed(1)} ${scale.unit} everywhere`;
  place.append(caption);
  if (scale.high <= scale.low) return place;
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 250 30");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", `From ${scale.low.toFixed(1)} ${scale.unit}, pale, to ${scale.high.toFixed(1)} ${scale.unit}, dark`);
  for (let k = 0; k < 5; k++) {
    const share = k / 4;
    const box = document.createElementNS(svg.namespaceURI, "rect");
    for (const [key, value] of Object.entries({ x: 50 * k, y: 0, width: 50, height: 14, fill: `#${colourOf(share).getHexString()}` })) box.setAttribute(key, String(value));
    const word = document.createElementNS(svg.namespaceURI, "text");
    for (const [key, value] of Object.entries({ x: 50 * k + 25, y: 27, "text-anchor": "middle" })) word.setAttribute(key, String(value));
    word.textContent = (scale.low + share * (scale.high - scale.low)).toFixed(1);
    svg.append(box, word);
  }
  place.append(svg);
  return place;
}
