/**
 * Every key of the console in one table: the same table drives the keyboard and the page of keys, so they agree.
 * Keys do nothing while someone is typing, apart from Escape.
 */
export type KeyAction =
  | { readonly do: 'adrenaline'; readonly seen: boolean }
  | { readonly do: 'one-tap'; readonly index: number; readonly seen: boolean }
  | { readonly do: 'solo'; readonly group: 'oxygen' | 'position' | 'call' | 'fluid' }
  | {
      readonly do:
        'search' | 'reassessed' | 'mark' | 'note' | 'undo' | 'play-pause' | 'cuff' | 'cue' | 'help' | 'close';
    }
  | { readonly do: 'backdate' }
  | { readonly do: 'deck'; readonly deck: string }
  | { readonly do: 'part'; readonly deck: string; readonly part: string }
  | { readonly do: 'stop' };

export interface KeyLine {
  readonly key: string;
  readonly shift?: boolean;
  /** As printed. */
  readonly shows: string;
  readonly says: string;
  readonly action: KeyAction;
}

export const KEYS: readonly KeyLine[] = [
  { key: '/', shows: '/', says: 'Search ("adr im", Enter)', action: { do: 'search' } },
  {
    key: 'a',
    shows: 'A',
    says: 'Adrenaline IM: next step (said, drawn up, given)',
    action: { do: 'adrenaline', seen: false },
  },
  {
    key: 'a',
    shift: true,
    shows: 'Shift A',
    says: 'Adrenaline IM: given, dose seen',
    action: { do: 'adrenaline', seen: true },
  },
  { key: 'o', shows: 'O', says: 'Oxygen', action: { do: 'solo', group: 'oxygen' } },
  { key: 'p', shows: 'P', says: 'Position', action: { do: 'solo', group: 'position' } },
  { key: 'c', shows: 'C', says: 'Call', action: { do: 'solo', group: 'call' } },
  { key: 'f', shows: 'F', says: 'Fluid', action: { do: 'solo', group: 'fluid' } },
  { key: 'r', shows: 'R', says: 'Reassessed (opens say-now)', action: { do: 'reassessed' } },
  { key: 'q', shows: 'Q', says: 'First cue due: spoken', action: { do: 'cue' } },
  { key: 'b', shows: 'B', says: 'Cycle the cuff', action: { do: 'cuff' } },
  { key: 'm', shows: 'M', says: 'Mark this moment, name it later', action: { do: 'mark' } },
  { key: 'n', shows: 'N', says: 'Write a note', action: { do: 'note' } },
  { key: 't', shows: 'T', says: 'Backdate the next tap (10 s more each press)', action: { do: 'backdate' } },
  {
    key: 'w',
    shows: 'W',
    says: 'Wind back: moments to go again from',
    action: { do: 'part', deck: 'steer', part: 'wind' },
  },
  { key: 'd', shows: 'D', says: 'Kit sent for', action: { do: 'part', deck: 'team', part: 'kit' } },
  { key: 'x', shows: 'X', says: 'System problem', action: { do: 'part', deck: 'room', part: 'problem' } },
  { key: 'u', shows: 'U', says: 'Undo the last thing logged', action: { do: 'undo' } },
  { key: ' ', shows: 'Space', says: 'Start, pause, carry on', action: { do: 'play-pause' } },
  { key: 's', shift: true, shows: 'Shift S', says: 'Stop: real emergency', action: { do: 'stop' } },
  { key: '?', shows: '?', says: 'This list', action: { do: 'help' } },
  { key: 'Escape', shows: 'Esc', says: 'Close what is open', action: { do: 'close' } },
];

export interface Pressed {
  readonly key: string;
  /** Physical key, so that Shift with a digit still reads as the digit. */
  readonly code: string;
  readonly shiftKey: boolean;
  readonly ctrlKey: boolean;
  readonly metaKey: boolean;
  readonly altKey: boolean;
  readonly repeat: boolean;
}

/**
 * What a key press asks for; null when it is nothing of ours. `typing`: a field has the focus. `decks`: the drawers and
 * the letters that open them.
 */
export function keyAction(
  pressed: Pressed,
  typing: boolean,
  decks: readonly { readonly id: string; readonly key?: string }[] = [],
): KeyAction | null {
  if (pressed.ctrlKey || pressed.metaKey || pressed.altKey) return null;
  if (pressed.key === 'Escape') return { do: 'close' };
  // A held key must not log ten doses.
  if (typing || pressed.repeat) return null;
  const digit = /^Digit(\d)$/.exec(pressed.code);
  if (digit) {
    const number = Number(digit[1]);
    return { do: 'one-tap', index: number === 0 ? 9 : number - 1, seen: pressed.shiftKey };
  }
  const key = pressed.key.length === 1 ? pressed.key.toLowerCase() : pressed.key;
  if (key === '?' || key === '/') return KEYS.find((line) => line.key === key)!.action;
  const own = KEYS.find((line) => line.key === key && (line.shift ?? false) === pressed.shiftKey);
  if (own) return own.action;
  const deck = pressed.shiftKey ? undefined : decks.find((each) => each.key === key);
  return deck ? { do: 'deck', deck: deck.id } : null;
}
