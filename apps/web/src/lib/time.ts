/** Run-clock times for people. */

/** "4:07", or "1:04:07" past the hour. Rounds down to the second; a negative time gets a minus sign. */
export function clockText(ms: number): string {
  const total = Math.floor(Math.abs(ms) / 1000);
  const hours = Math.floor(total / 3600);
  const minutes = Math.floor((total % 3600) / 60);
  const seconds = String(total % 60).padStart(2, '0');
  const sign = ms < 0 && total > 0 ? '−' : '';
  return hours > 0 ? `${sign}${hours}:${String(minutes).padStart(2, '0')}:${seconds}` : `${sign}${minutes}:${seconds}`;
}

/** A moment of the run clock; nothing where it is not known (below zero). */
export const momentText = (atMs: number): string => (atMs < 0 ? '' : clockText(atMs));

/** "4 minutes 7 seconds", for a screen reader. */
export function spokenDuration(ms: number): string {
  const total = Math.floor(Math.abs(ms) / 1000);
  const minutes = Math.floor(total / 60);
  const seconds = total % 60;
  const parts = [];
  if (minutes > 0) parts.push(`${minutes} minute${minutes === 1 ? '' : 's'}`);
  if (seconds > 0 || minutes === 0) parts.push(`${seconds} second${seconds === 1 ? '' : 's'}`);
  return parts.join(' ');
}

/** Local date and time of an ISO instant: "25 Nov 2026, 14:05". Empty for a bad one. */
export function whenText(iso: string): string {
  const at = new Date(iso);
  if (Number.isNaN(at.getTime())) return '';
  return at.toLocaleString('en-GB', {
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
  });
}
