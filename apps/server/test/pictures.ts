/** Small whole pictures for tests, made part by part: their headers are sound, what they would draw is of no interest. */

/** A JPEG segment. */
export const segment = (marker: number, content: string | Buffer): Buffer => {
  const bytes = typeof content === 'string' ? Buffer.from(content, 'latin1') : content;
  const head = Buffer.from([0xff, marker, 0, 0]);
  head.writeUInt16BE(bytes.length + 2, 2);
  return Buffer.concat([head, bytes]);
};

/** A JPEG with a stuffed byte and a restart in its coded part, and two scans; `before` stands first, `behind` after its end. */
export const jpeg = ({ before = [], behind = Buffer.alloc(0) }: { before?: Buffer[]; behind?: Buffer } = {}): Buffer =>
  Buffer.concat([
    Buffer.from([0xff, 0xd8]),
    ...before,
    segment(0xdb, Buffer.alloc(65, 1)),
    segment(0xc2, Buffer.from([8, 0, 1, 0, 1, 1, 1, 0x11, 0])),
    segment(0xc4, Buffer.alloc(19, 2)),
    segment(0xda, Buffer.from([1, 1, 0, 0, 63, 0])),
    Buffer.from([0x12, 0xff, 0x00, 0x34, 0xff, 0xd0, 0x56]),
    segment(0xda, Buffer.from([1, 1, 0, 0, 63, 0])),
    Buffer.from([0x78, 0x9a]),
    Buffer.from([0xff, 0xd9]),
    behind,
  ]);

const pngChunk = (name: string, content: Buffer): Buffer => {
  const length = Buffer.alloc(4);
  length.writeUInt32BE(content.length);
  return Buffer.concat([length, Buffer.from(name, 'latin1'), content, Buffer.alloc(4, 7)]);
};

/** A PNG; `extra` chunks by name, and what hangs on behind its end. */
export const png = (extra: Record<string, string> = {}, behind = ''): Buffer =>
  Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    pngChunk('IHDR', Buffer.alloc(13, 1)),
    ...Object.entries(extra).map(([name, text]) => pngChunk(name, Buffer.from(text))),
    pngChunk('IDAT', Buffer.alloc(20, 3)),
    pngChunk('IEND', Buffer.alloc(0)),
    Buffer.from(behind),
  ]);

const webpChunk = (name: string, content: Buffer): Buffer => {
  const head = Buffer.from(`${name}\0\0\0\0`, 'latin1');
  head.writeUInt32LE(content.length, 4);
  return Buffer.concat([head, content, Buffer.alloc(content.length % 2)]);
};

/** A WebP with an extended header; `extra` chunks by name, which the header then promises. */
export const webp = (extra: Record<string, string> = {}): Buffer => {
  const header = Buffer.alloc(10);
  header[0] = 0x10 | (Object.keys(extra).length > 0 ? 0x2c : 0);
  const body = Buffer.concat([
    webpChunk('VP8X', header),
    ...Object.entries(extra).map(([name, text]) => webpChunk(name, Buffer.from(text))),
    webpChunk('VP8 ', Buffer.alloc(21, 5)),
  ]);
  const head = Buffer.from('RIFF\0\0\0\0WEBP', 'latin1');
  head.writeUInt32LE(4 + body.length, 4);
  return Buffer.concat([head, body]);
};
