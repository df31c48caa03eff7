/** A site's own copy of a pack: the text as its author will edit it, and the fingerprint of what it came from. */
import { formatDiagnostic } from '../1-read/bag.ts';
import type { GuidelinePack, Intervention } from '../types.ts';
import { canonicalJson, sha256 } from './hash.ts';
import { readPack } from './pack.ts';

/** What a pack says, as a SHA-256: comments, layout and where it came from do not count. */
export function packHash(pack: GuidelinePack): string {
  const { forkedFrom: _from, forkedHash: _hash, ...says } = pack;
  return sha256(canonicalJson(says));
}

export type ForkResult =
  | { readonly ok: true; readonly text: string }
  | { readonly ok: false; readonly problem: string; readonly mend: string };

/** As the ids of packs are written; also a file name that leads nowhere else. */
const ID = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const MOST = 60;

/** Replaces the one top-level line of a key, which YAML writes at the margin; null when there is not exactly one. */
function replaceLine(text: string, key: string, line: string | null): string | null {
  const found = [...text.matchAll(new RegExp(`^${key}:.*\\n?`, 'gm'))];
  if (found.length !== 1) return found.length === 0 && line === null ? text : null;
  const [{ 0: whole, index }] = found as [RegExpMatchArray & { index: number }];
  return text.slice(0, index) + (line === null ? '' : `${line}\n`) + text.slice(index + whole.length);
}

/**
 * Copies a pack under a new id. Everything stays as it was written, with its sources; only id, title and where it came
 * from are changed. The result is read again before it is handed out, so that a copy is never broken.
 *
 * @param text the parent's file
 * @param options.title what the copy is called; without it the parent's title with "our copy" behind
 */
export function forkPack(
  text: string,
  options: {
    readonly parent: GuidelinePack;
    readonly asId: string;
    readonly title?: string;
    readonly interventions: readonly Intervention[];
  },
): ForkResult {
  const { parent, asId, interventions } = options;
  if (!ID.test(asId) || asId.length > MOST)
    return {
      ok: false,
      problem: `“${asId.slice(0, 80)}” can not be the id of a pack`,
      mend: `Use small letters, digits and single hyphens, at most ${MOST} characters, such as our-hospital-anaphylaxis.`,
    };
  if (asId === parent.id)
    return {
      ok: false,
      problem: 'A copy needs another id than what it is copied from',
      mend: 'Give it a name of its own.',
    };
  const title = (options.title ?? `${parent.title}, our copy`).slice(0, 160);
  let out: string | null = text.replaceAll('\r\n', '\n');
  for (const [key, line] of [
    ['forked-from', null],
    ['forked-hash', null],
    ['title', `title: ${JSON.stringify(title)}`],
    ['id', `id: ${asId}\nforked-from: ${parent.id}\nforked-hash: ${packHash(parent)}`],
  ] as const) {
    out = out === null ? null : replaceLine(out, key, line);
  }
  const cannot = (why: string): ForkResult => ({
    ok: false,
    problem: `${parent.id} can not be copied: ${why}`,
    mend: 'Copy the file by hand, and write id, forked-from and title yourself.',
  });
  if (out === null) return cannot('its id and title do not stand on lines of their own');
  const note = `# A copy of ${parent.id}, to be changed for one site. Give each line that you change a source of its own.\n`;
  const schema = /^# yaml-language-server:.*\n/.exec(out)?.[0] ?? '';
  out = schema + note + out.slice(schema.length);
  const read = readPack(out, { file: `${asId}.yaml`, interventions });
  if (!read.ok) return cannot(read.errors.slice(0, 1).map(formatDiagnostic).join(''));
  if (packHash({ ...read.value, id: parent.id, title: parent.title }) !== packHash(parent))
    return cannot('the copy would not say the same');
  return { ok: true, text: out };
}
