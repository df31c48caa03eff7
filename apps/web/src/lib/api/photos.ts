/**
 * Pictures kept beside a run: made small on this device (a phone's own are many megabytes, and carry where they were
 * taken), then sent.
 */
import { ApiError, offlineError, problemToError } from './errors.ts';

/** Longest side, pixels, and JPEG quality: a label on a drawer stays readable. */
const LONGEST_PX = 1600;
const QUALITY = 0.8;

/** A picture file redrawn smaller as JPEG; redrawing leaves every tag (place, device, time) behind. */
export async function smallPicture(file: Blob): Promise<Blob> {
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
  } catch {
    throw new ApiError(
      'PICTURE_UNREADABLE',
      'Not a picture this device can read',
      'The file could not be read as a picture.',
      'Take a photograph, or choose a JPEG or PNG.',
    );
  }
  const scale = Math.min(1, LONGEST_PX / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const context = canvas.getContext('2d');
  context?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const small = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
  if (!small) {
    throw new ApiError('PICTURE_UNREADABLE', 'The picture could not be made small', 'This device could not redraw it.');
  }
  return small;
}

/** Who asks: signed-in faculty of a run, or a crew phone by the pass it got when it joined. */
export type PhotoDoor = { readonly runId: string } | { readonly pass: string };

/** Sends a picture to be kept beside the run; gives its id. */
export async function sendPhoto(door: PhotoDoor, picture: Blob): Promise<string> {
  const crew = 'pass' in door;
  let response: Response;
  let text: string;
  try {
    response = await fetch(crew ? '/api/crew/photos' : `/api/runs/${encodeURIComponent(door.runId)}/photos`, {
      method: 'POST',
      credentials: 'same-origin',
      cache: 'no-store',
      headers: {
        accept: 'application/json',
        'content-type': picture.type || 'image/jpeg',
        ...(crew ? { authorization: `Bearer ${door.pass}` } : {}),
      },
      body: picture,
    });
    text = await response.text();
  } catch {
    throw offlineError();
  }
  let parsed: unknown;
  try {
    parsed = JSON.parse(text);
  } catch {
    parsed = undefined;
  }
  if (!response.ok) throw problemToError(response.status, parsed);
  const id = (parsed as { photo?: unknown } | undefined)?.photo;
  if (typeof id !== 'string') throw offlineError();
  return id;
}

/** Where a picture kept beside a run is read from; for signed-in faculty. */
export function photoAddress(runId: string, photo: string): string {
  return `/api/runs/${encodeURIComponent(runId)}/photos/${encodeURIComponent(photo)}`;
}
