import type { Static } from '@sinclair/typebox';
import type { Source } from '../types.ts';
import type { sourceSchema } from '../2-check/schema/parts.ts';

type SourceDoc = Static<typeof sourceSchema>;

/** A source as it is shown. */
export function buildSource(doc: SourceDoc): Source {
  return {
    organisation: doc.organisation,
    document: doc.document,
    ...(doc.edition ? { edition: doc.edition } : {}),
    ...(doc.section ? { section: doc.section } : {}),
    ...(doc.doi ? { doi: doc.doi } : {}),
    ...(doc.url ? { url: doc.url } : {}),
    verified: doc.verified,
    checkedOn: doc['checked-on'],
    ...(doc['checked-by'] ? { checkedBy: doc['checked-by'] } : {}),
  };
}

/** Looks sources up by id; only called once the checker found every id. */
export function sourceFinder(docs: Readonly<Record<string, SourceDoc>> | undefined): (id: string) => Source {
  const built = new Map(Object.entries(docs ?? {}).map(([id, doc]) => [id, buildSource(doc)]));
  return (id) => built.get(id)!;
}
