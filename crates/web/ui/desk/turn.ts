// Between the stored picture and the picture as shown. Points are always stored in the untouched
// picture; only what is drawn goes through here. Mirroring comes first, then clockwise quarter turns.

export interface Turn {
  quarter_turns: number;
  mirrored: boolean;
}

export interface Size {
  width: number;
  height: number;
}

export type Point = readonly [number, number];

export function shownSize(size: Size, turn: Turn): Size {
  return turn.quarter_turns % 2 === 0 ? size : { width: size.height, height: size.width };
}

export function shownFromStored([x, y]: Point, size: Size, turn: Turn): Point {
  const right = size.width - 1;
  const low = size.height - 1;
  const mx = turn.mirrored ? right - x : x;
  switch (turn.quarter_turns % 4) {
    case 1:
      return [low - y, mx];
    case 2:
      return [right - mx, low - y];
    case 3:
      return [y, right - mx];
    default:
      return [mx, y];
  }
}

export function storedFromShown([x, y]: Point, size: Size, turn: Turn): Point {
  const right = size.width - 1;
  const low = size.height - 1;
  let mx: number;
  let my: number;
  switch (turn.quarter_turns % 4) {
    case 1:
      [mx, my] = [y, low - x];
      break;
    case 2:
      [mx, my] = [right - x, low - y];
      break;
    case 3:
      [mx, my] = [right - y, x];
      break;
    default:
      [mx, my] = [x, y];
  }
  return [turn.mirrored ? right - mx : mx, my];
}

/** Where an arrow key points, `step` long; nowhere for any other key. */
export function towards(key: string, step: number): Point {
  const ways: Record<string, Point> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
  return ways[key] ?? [0, 0];
}
