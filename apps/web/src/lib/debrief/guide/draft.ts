/** Words half typed, kept in this tab until they are added or rubbed out. */

const PREFIX = 'breathline-draft:';

export function draftOf(name: string | undefined): string {
  try {
    return (name !== undefined && sessionStorage.getItem(PREFIX + name)) || '';
  } catch {
    // A browser may refuse to keep anything.
    return '';
  }
}

export function keepDraft(name: string | undefined, text: string): void {
  if (name === undefined) return;
  try {
    if (text === '') sessionStorage.removeItem(PREFIX + name);
    else sessionStorage.setItem(PREFIX + name, text);
  } catch {
    // It lasts as long as the box.
  }
}
