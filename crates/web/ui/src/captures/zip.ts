// Files in one ZIP, as they are: pictures are packed already. The layout is that of the open APPNOTE, without
// its extensions; what does not fit (4 GiB, 65,535 files) is refused before anything is written.

const table = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

function sum(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = (table[(c ^ byte) & 0xff] as number) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

export interface Part {
  name: string;
  bytes: Uint8Array<ArrayBuffer>;
}

/** Every file whole and unpacked, in the order given. */
export function zipped(parts: Part[]): Blob {
  if (parts.length > 65_535) throw new Error(`${parts.length} pictures are too many for one file; take a shorter clip`);
  const blobs: BlobPart[] = [];
  const heads: Uint8Array<ArrayBuffer>[] = [];
  let at = 0;
  for (const { name, bytes } of parts) {
    const called = new TextEncoder().encode(name);
    const facts = new DataView(new ArrayBuffer(26));
    facts.setUint16(0, 20, true);
    facts.setUint16(2, 0x0800, true);
    // A day that says nothing: 1 January 1980.
    facts.setUint16(8, 0x21, true);
    facts.setUint32(10, sum(bytes), true);
    facts.setUint32(14, bytes.length, true);
    facts.setUint32(18, bytes.length, true);
    facts.setUint16(22, called.length, true);
    const own = new Uint8Array(facts.buffer);
    const local = joined([signature(0x04034b50), own, called]);
    const place = new DataView(new ArrayBuffer(14));
    place.setUint32(10, at, true);
    heads.push(joined([signature(0x02014b50), own.slice(0, 2), own, new Uint8Array(place.buffer), called]));
    blobs.push(local, bytes);
    at += local.length + bytes.length;
    if (at > 0xfff00000) throw new Error("the pictures are too many for one file; take a shorter clip");
  }
  const size = heads.reduce((all, h) => all + h.length, 0);
  const end = new DataView(new ArrayBuffer(18));
  end.setUint16(4, parts.length, true);
  end.setUint16(6, parts.length, true);
  end.setUint32(8, size, true);
  end.setUint32(12, at, true);
  return new Blob([...blobs, ...heads, signature(0x06054b50), new Uint8Array(end.buffer)], { type: "application/zip" });
}

function signature(number: number): Uint8Array<ArrayBuffer> {
  const view = new DataView(new ArrayBuffer(4));
  view.setUint32(0, number, true);
  return new Uint8Array(view.buffer);
}

function joined(parts: Uint8Array[]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(parts.reduce((all, p) => all + p.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
