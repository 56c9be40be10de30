// How foot, shell, posts and ground look: the foot as matte glass, the shell opaque, the ground as a ruled
// plane. Colours are those of the page's own style sheet.

import { BufferAttribute, BufferGeometry, Color, FrontSide, LineBasicMaterial, LineSegments, MeshLambertMaterial, ShaderMaterial } from "three";
import type { Body } from "./api.js";

/** A colour of the page by its token. */
export function ink(token: string): Color {
  const style = getComputedStyle(document.documentElement).getPropertyValue(token).trim();
  return new Color(style || "#808080");
}

export function geometry(body: Body): BufferGeometry {
  const out = new BufferGeometry();
  out.setAttribute("position", new BufferAttribute(body.corners, 3));
  out.setIndex(new BufferAttribute(body.triangles, 1));
  out.setAttribute("normal", new BufferAttribute(normals(body.corners, body.triangles), 3, true));
  return out;
}

/** Normals at the corners, by the areas around them; in bytes, which is finer than the eye. */
function normals(corners: Float32Array, triangles: Uint32Array): Int8Array {
  const sums = new Float32Array(corners.length);
  const at = (i: number): number => corners[i] as number;
  const add = (i: number, x: number, y: number, z: number): void => {
    sums[i] = (sums[i] as number) + x;
    sums[i + 1] = (sums[i + 1] as number) + y;
    sums[i + 2] = (sums[i + 2] as number) + z;
  };
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * (triangles[t] as number);
    const b = 3 * (triangles[t + 1] as number);
    const c = 3 * (triangles[t + 2] as number);
    const ux = at(b) - at(a);
    const uy = at(b + 1) - at(a + 1);
    const uz = at(b + 2) - at(a + 2);
    const vx = at(c) - at(a);
    const vy = at(c + 1) - at(a + 1);
    const vz = at(c + 2) - at(a + 2);
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    add(a, x, y, z);
    add(b, x, y, z);
    add(c, x, y, z);
  }
  const out = new Int8Array(sums.length);
  for (let i = 0; i < sums.length; i += 3) {
    const x = sums[i] as number;
    const y = sums[i + 1] as number;
    const z = sums[i + 2] as number;
    const k = 127 / (Math.hypot(x, y, z) || 1);
    out[i] = k * x;
    out[i + 1] = k * y;
    out[i + 2] = k * z;
  }
  return out;
}

/** Clear where the skin faces the eye, milky where it turns away; writes no depth, so the shell shows through. */
export function glass(): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { tint: { value: ink("--quiet") } },
    vertexShader: `varying float facing;
      void main() {
        vec4 seen = modelViewMatrix * vec4(position, 1.0);
        facing = abs(dot(normalize(normalMatrix * normal), normalize(-seen.xyz)));
        gl_Position = projectionMatrix * seen;
      }`,
    fragmentShader: `uniform vec3 tint; varying float facing;
      void main() { gl_FragColor = vec4(tint, mix(0.55, 0.05, pow(facing, 0.45))); }`,
    transparent: true,
    depthWrite: false,
    side: FrontSide,
  });
}

export function solid(token: string): MeshLambertMaterial {
  // Lighter than the ink, so that light and shade have room; the glass before it takes some of its colour.
  return new MeshLambertMaterial({ color: ink(token).lerp(new Color("#ffffff"), 0.12), side: FrontSide });
}

/** Lines a centimetre apart, every fifth one stronger, about the origin of the ground. */
export function ruledGround(length: number): LineSegments {
  const [from, to, half] = [-60, Math.ceil(length / 50) * 50 + 60, 110];
  const places: number[] = [];
  const colours: number[] = [];
  const weak = ink("--rule");
  const strong = ink("--edge").lerp(weak, 0.4);
  const line = (n: number, ends: number[]): void => {
    places.push(...ends);
    const colour = n % 50 === 0 ? strong : weak;
    for (let k = 0; k < 2; k++) colours.push(colour.r, colour.g, colour.b);
  };
  for (let x = from; x <= to; x += 10) line(x, [x, -half, 0, x, half, 0]);
  for (let y = -half; y <= half; y += 10) line(y, [from, y, 0, to, y, 0]);
  const out = new BufferGeometry();
  out.setAttribute("position", new BufferAttribute(new Float32Array(places), 3));
  out.setAttribute("color", new BufferAttribute(new Float32Array(colours), 3));
  return new LineSegments(out, new LineBasicMaterial({ vertexColors: true }));
}
