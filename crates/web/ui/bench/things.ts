// What the hand can take on the bench: points of the foot and places of the trim line, and how a move of the
// hand becomes a text of the form. Places are as held in the hand; texts are in the foot's own frame, whose
// inner side is positive for both feet.

import type { Handle, Place, PointShown, PreviewHead, Texts } from "./api.js";
import { written } from "./form.js";

export type Thing = { kind: "point"; point: PointShown } | { kind: "trim"; handle: Handle };

export function name(thing: Thing): string {
  return thing.kind === "point" ? thing.point.name : `Trim line ${thing.handle.number}, ${thing.handle.words}`;
}

export function id(thing: Thing): string {
  return thing.kind === "point" ? `point.${thing.point.key}` : trimKey(thing.handle.station);
}

export function trimKey(station: number): string {
  return `trim.${station.toFixed(2)}`;
}

export function at(thing: Thing): Place {
  return thing.kind === "point" ? thing.point.at : thing.handle.at;
}

export function things(head: PreviewHead): Thing[] {
  return [...head.points.map((point): Thing => ({ kind: "point", point })), ...head.handles.map((handle): Thing => ({ kind: "trim", handle }))];
}

/** Texts that put a point somewhere. */
export function pointTexts(key: string, side: string, [x, y, z]: Place): Texts {
  const inward = side === "left" ? -y : y;
  return { [`point.${key}.x`]: written(x, 1), [`point.${key}.y`]: written(inward, 1), [`point.${key}.z`]: written(z, 1) };
}

/** Texts that put a thing back where it was found, or where the line runs by itself. */
export function foundTexts(thing: Thing): Texts {
  if (thing.kind === "trim") return { [trimKey(thing.handle.station)]: "" };
  return Object.fromEntries(["x", "y", "z"].map((axis) => [`point.${thing.point.key}.${axis}`, ""]));
}

export function trimTexts(handle: Handle, moved: number): Texts {
  const kept = Math.max(-40, Math.min(40, moved));
  const text = written(kept, 1);
  return { [trimKey(handle.station)]: text === "0" ? "" : text };
}

/** An arrow key's move in millimetres as texts; null for a key that moves nothing. */
export function nudged(thing: Thing, key: string, by: number, side: string, texts: Texts): Texts | null {
  if (thing.kind === "trim") {
    const way = key === "ArrowUp" || key === "ArrowRight" ? 1 : key === "ArrowDown" || key === "ArrowLeft" ? -1 : 0;
    if (way === 0) return null;
    return trimTexts(thing.handle, Number(texts[trimKey(thing.handle.station)] || 0) + way * by);
  }
  const axis = { ArrowUp: "x", ArrowDown: "x", ArrowLeft: "y", ArrowRight: "y", PageUp: "z", PageDown: "z" }[key];
  if (!axis) return null;
  const field = `point.${thing.point.key}.${axis}`;
  // Left on the page is the inner side of a right foot and the outer side of a left one.
  const left = side === "left" ? -1 : 1;
  const way = { ArrowUp: 1, ArrowDown: -1, PageUp: 1, PageDown: -1, ArrowLeft: left, ArrowRight: -left }[key] ?? 0;
  return { [field]: written(Number(texts[field] || 0) + way * by, 1) };
}

/** Words for the voice: where a thing stands now. */
export function where(thing: Thing): string {
  if (thing.kind === "trim") {
    const moved = thing.handle.moved;
    if (moved === 0) return "where it runs by itself";
    return `${written(Math.abs(moved), 1)} mm ${moved > 0 ? "outward" : "inward"}`;
  }
  const [x, y, z] = thing.point.texts;
  return `${x} mm forward, ${y} mm inward, ${z} mm up, ${thing.point.by_hand ? "by hand" : "as found"}`;
}
