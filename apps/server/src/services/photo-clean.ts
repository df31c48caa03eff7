/**
 * Makes of what a phone sent a picture without a past: where and when it was taken, on what, thumbnails and film clips tied
 * to it all go. Nothing is decoded; the parts of the file are walked and only those that draw the picture are kept. What can
 * not be walked to its end is no picture.
 *
 * Formats: JPEG, ISO/IEC 10918-1 annex B; PNG, W3C Portable Network Graphics (third edition) section 5; WebP, RFC 9649.
 */
import type { PhotoType } from '../store/photo-store.ts';

const PNG_SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
/** Chunks that draw; a name, a place or a time is in none of them. */
const PNG_KEPT = new Set(['IHDR', 'PLTE', 'IDAT', 'IEND', 'tRNS', 'gAMA', 'cHRM', 'sRGB', 'pHYs', 'sBIT', 'bKGD']);
const WEBP_KEPT = new Set(['VP8 ', 'VP8L', 'VP8X', 'ALPH']);

const startsWith = (bytes: Buffer, start: readonly number[], at = 0): boolean =>
  start.every((byte, index) => bytes[at + index] === byte);

/** What the first bytes say it is; null for anything else, whatever it calls itself. */
export const photoType = (bytes: Buffer): PhotoType | null => {
  if (startsWith(bytes, [0xff, 0xd8, 0xff])) return 'image/jpeg';
  if (startsWith(bytes, PNG_SIGNATURE)) return 'image/png';
  if (bytes.toString('latin1', 0, 4) === 'RIFF' && bytes.toString('latin1', 8, 12) === 'WEBP') return 'image/webp';
  return null;
};

/** The cleaned picture, or null when the file is broken. */
export const cleanPhoto = (bytes: Buffer, type: PhotoType): Buffer | null =>
  type === 'image/jpeg' ? cleanJpeg(bytes) : type === 'image/png' ? cleanPng(bytes) : cleanWebp(bytes);

/** A segment that draws nothing: APP0 (thumbnails) to APP15 but Adobe's colour note (APP14), and comments. */
const isTalk = (marker: number): boolean => (marker >= 0xe0 && marker <= 0xef && marker !== 0xee) || marker === 0xfe;
const isFrameHeader = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);

/** Where the coded picture that starts at `at` ends: at a marker that is neither a stuffed byte nor a restart. */
const scanEnd = (bytes: Buffer, at: number): number => {
  for (let next = bytes.indexOf(0xff, at); next >= 0; next = bytes.indexOf(0xff, next + 1)) {
    const marker = bytes[next + 1];
    if (marker === undefined) return -1;
    if (marker !== 0 && marker !== 0xff && !(marker >= 0xd0 && marker <= 0xd7)) return next;
  }
  return -1;
};

const cleanJpeg = (bytes: Buffer): Buffer | null => {
  const kept: Buffer[] = [bytes.subarray(0, 2)];
  let turned: Buffer | null = null;
  let [framed, scanned] = [false, false];
  for (let at = 2; ;) {
    while (bytes[at] === 0xff && bytes[at + 1] === 0xff) at += 1;
    const marker = bytes[at + 1];
    if (bytes[at] !== 0xff || marker === undefined) return null;
    // What follows the end belongs to something else: a film clip, a second picture.
    if (marker === 0xd9) {
      if (!framed || !scanned) return null;
      return Buffer.concat([
        ...kept.slice(0, 1),
        ...(turned ? [turned] : []),
        ...kept.slice(1),
        bytes.subarray(at, at + 2),
      ]);
    }
    if (at + 4 > bytes.length) return null;
    const end = at + 2 + bytes.readUInt16BE(at + 2);
    if (end < at + 4 || end > bytes.length) return null;
    if (marker === 0xe1) turned ??= orientationOf(bytes.subarray(at + 4, end));
    if (!isTalk(marker)) kept.push(bytes.subarray(at, end));
    framed ||= isFrameHeader(marker);
    if (marker !== 0xda) {
      at = end;
      continue;
    }
    const stop = scanEnd(bytes, end);
    if (stop < 0) return null;
    kept.push(bytes.subarray(end, stop));
    scanned = true;
    at = stop;
  }
};

/**
 * Which way up, and nothing else, as an Exif segment of its own (tag 0x0112 of TIFF 6.0): without it half of all phone
 * pictures lie on their side.
 */
const orientationOf = (app1: Buffer): Buffer | null => {
  if (app1.toString('latin1', 0, 6) !== 'Exif\0\0' || app1.length < 14) return null;
  const tiff = app1.subarray(6);
  const order = tiff.toString('latin1', 0, 2);
  if (order !== 'II' && order !== 'MM') return null;
  const little = order === 'II';
  const short = (at: number) => (little ? tiff.readUInt16LE(at) : tiff.readUInt16BE(at));
  const start = little ? tiff.readUInt32LE(4) : tiff.readUInt32BE(4);
  if (start + 2 > tiff.length) return null;
  const entries = short(start);
  for (let entry = 0; entry < entries; entry += 1) {
    const at = start + 2 + entry * 12;
    if (at + 12 > tiff.length) return null;
    if (short(at) !== 0x0112) continue;
    const way = short(at + 8);
    if (way < 2 || way > 8) return null;
    return Buffer.concat([
      Buffer.from([0xff, 0xe1, 0x00, 0x22]),
      Buffer.from('Exif\0\0MM\0*', 'latin1'),
      Buffer.from([0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, way, 0, 0, 0, 0, 0, 0]),
    ]);
  }
  return null;
};

const cleanPng = (bytes: Buffer): Buffer | null => {
  const kept: Buffer[] = [bytes.subarray(0, 8)];
  let [headed, drawn] = [false, false];
  for (let at = 8; at + 12 <= bytes.length;) {
    const name = bytes.toString('latin1', at + 4, at + 8);
    const end = at + 12 + bytes.readUInt32BE(at);
    if (end > bytes.length) return null;
    if (!headed && name !== 'IHDR') return null;
    headed = true;
    drawn ||= name === 'IDAT';
    if (PNG_KEPT.has(name)) kept.push(bytes.subarray(at, end));
    if (name === 'IEND') return drawn ? Buffer.concat(kept) : null;
    at = end;
  }
  return null;
};

const cleanWebp = (bytes: Buffer): Buffer | null => {
  const whole = 8 + bytes.readUInt32LE(4);
  if (whole > bytes.length) return null;
  const kept: Buffer[] = [];
  let drawn = false;
  for (let at = 12; at + 8 <= whole;) {
    const name = bytes.toString('latin1', at, at + 4);
    const size = bytes.readUInt32LE(at + 4);
    const end = at + 8 + size + (size % 2);
    if (end > whole) return null;
    drawn ||= name === 'VP8 ' || name === 'VP8L';
    if (WEBP_KEPT.has(name)) {
      const chunk = Buffer.from(bytes.subarray(at, end));
      // The header must not promise what was taken out: colour profile, Exif, XMP, animation.
      if (name === 'VP8X' && size >= 1) chunk[8] = (chunk[8] ?? 0) & 0b0001_0000;
      kept.push(chunk);
    }
    at = end;
  }
  if (!drawn) return null;
  const body = Buffer.concat(kept);
  const head = Buffer.from('RIFF\0\0\0\0WEBP', 'latin1');
  head.writeUInt32LE(4 + body.length, 4);
  return Buffer.concat([head, body]);
};
