import { describe, expect, it } from 'vitest';
import { cleanPhoto, photoType } from '../src/services/photo-clean.ts';
import { jpeg, png, segment, webp } from './pictures.ts';

const SECRET = 'SECRET-PLACE 51.5N';

describe('what kind of picture', () => {
  it('is told by the first bytes alone', () => {
    expect(photoType(jpeg())).toBe('image/jpeg');
    expect(photoType(png())).toBe('image/png');
    expect(photoType(webp())).toBe('image/webp');
    for (const other of ['<svg xmlns="http://www.w3.org/2000/svg"/>', 'GIF89a;;;;;;;;', 'RIFF....WAVEfmt ', '\xff\xd8'])
      expect(photoType(Buffer.from(other, 'latin1'))).toBeNull();
  });
});

describe('a picture without a past', () => {
  it('JPEG: place, thumbnails, comments and what hangs on behind go; what draws stays', () => {
    const dirty = jpeg({
      before: [
        segment(0xe0, 'JFIF\0'),
        segment(0xe1, `Exif\0\0${SECRET}`),
        segment(0xe1, `http://ns.adobe.com/xap/1.0/\0${SECRET}`),
        segment(0xe2, `MPF\0${SECRET}`),
        segment(0xed, SECRET),
        segment(0xfe, SECRET),
      ],
      behind: Buffer.from(`ftypmp42${SECRET}`),
    });
    const clean = cleanPhoto(dirty, 'image/jpeg');
    expect(clean).toEqual(jpeg());
    expect(clean?.toString('latin1')).not.toContain('SECRET');
  });

  it('JPEG: which way up is kept, and nothing else of where it stood', () => {
    for (const order of ['II', 'MM'] as const) {
      const clean = cleanPhoto(jpeg({ before: [exif(order, 6)] }), 'image/jpeg');
      const text = clean?.toString('latin1') ?? '';
      expect(text).toContain('Exif\0\0MM\0*');
      expect(text).not.toContain('SECRET');
      // The segment's own length, and tag 0x0112, type SHORT, one value, 6.
      expect(clean?.subarray(2, 6)).toEqual(Buffer.from([0xff, 0xe1, 0x00, 0x22]));
      expect(clean?.subarray(22, 34)).toEqual(Buffer.from([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0]));
      // Cleaned again it is the same.
      expect(cleanPhoto(clean as Buffer, 'image/jpeg')).toEqual(clean);
    }
    expect(cleanPhoto(jpeg({ before: [exif('II', 1)] }), 'image/jpeg')).toEqual(jpeg());
    expect(cleanPhoto(jpeg({ before: [exif('II', 200)] }), 'image/jpeg')).toEqual(jpeg());
  });

  it('PNG and WebP: words, times and Exif go', () => {
    expect(cleanPhoto(png({ tEXt: SECRET, eXIf: SECRET, tIME: '1234567' }, SECRET), 'image/png')).toEqual(png());
    const clean = cleanPhoto(webp({ EXIF: SECRET, 'XMP ': SECRET, ICCP: SECRET }), 'image/webp');
    expect(clean).toEqual(webp());
  });

  it('one that breaks off, or lies about its lengths, is none', () => {
    const whole: [Buffer, 'image/jpeg' | 'image/png' | 'image/webp'][] = [
      [jpeg({ before: [exif('II', 6)] }), 'image/jpeg'],
      [png(), 'image/png'],
      [webp(), 'image/webp'],
    ];
    for (const [picture, type] of whole)
      for (let length = 12; length < picture.length; length += 1)
        expect([type, length, cleanPhoto(picture.subarray(0, length), type)]).toEqual([type, length, null]);
    const none = jpeg({ before: [Buffer.from([0xff, 0xe1, 0x00, 0x00])] });
    expect(cleanPhoto(none, 'image/jpeg')).toBeNull();
    expect(cleanPhoto(Buffer.from([0xff, 0xd8, 0xff, 0xd9, 0, 0, 0, 0, 0, 0, 0, 0]), 'image/jpeg')).toBeNull();
  });
});

/** An Exif segment with a place in it and the way up given. */
const exif = (order: 'II' | 'MM', way: number): Buffer => {
  const tiff = Buffer.alloc(8 + 2 + 2 * 12 + 4);
  const little = order === 'II';
  const short = (value: number, at: number) => (little ? tiff.writeUInt16LE(value, at) : tiff.writeUInt16BE(value, at));
  const long = (value: number, at: number) => (little ? tiff.writeUInt32LE(value, at) : tiff.writeUInt32BE(value, at));
  tiff.write(order, 0, 'latin1');
  short(42, 2);
  long(8, 4);
  short(2, 8);
  short(0x8825, 10); // Where it was taken.
  short(4, 12);
  long(1, 14);
  long(99, 18);
  short(0x0112, 22);
  short(3, 24);
  long(1, 26);
  short(way, 30);
  return segment(0xe1, Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff, Buffer.from(SECRET)]));
};
