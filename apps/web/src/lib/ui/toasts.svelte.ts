/** Brief messages that come and go at the foot of the screen. Nothing a person must act on belongs here. */
export interface ToastMessage {
  readonly id: number;
  readonly tone: 'info' | 'good' | 'warn' | 'danger';
  readonly text: string;
  readonly action?: { readonly label: string; readonly run: () => void };
}

let nextId = 1;
const shown: ToastMessage[] = $state([]);

/** What is on the screen now, oldest first. */
export function currentToasts(): readonly ToastMessage[] {
  return shown;
}

/**
 * Shows a message; returns its id. Stays `forMs` (default 6 s; warnings and dangers 12 s).
 * At most four at once: the oldest gives way.
 */
export function toast(
  text: string,
  options: { tone?: ToastMessage['tone']; forMs?: number; action?: ToastMessage['action'] } = {},
): number {
  const tone = options.tone ?? 'info';
  const message: ToastMessage = { id: nextId++, tone, text, action: options.action };
  shown.push(message);
  if (shown.length > 4) shown.shift();
  const forMs = options.forMs ?? (tone === 'warn' || tone === 'danger' ? 12_000 : 6_000);
  setTimeout(() => dismissToast(message.id), forMs);
  return message.id;
}

/** Takes a message away; harmless if it has gone. */
export function dismissToast(id: number): void {
  const at = shown.findIndex((message) => message.id === id);
  if (at >= 0) shown.splice(at, 1);
}
