import { existsSync } from 'node:fs';
import path from 'node:path';

/** The repository, also from a bundle of this file kept deeper inside it. */
export const ROOT = ((from: string): string => {
  let folder = from;
  while (!existsSync(path.join(folder, 'prisma/schema.prisma'))) folder = path.dirname(folder);
  return folder;
})(import.meta.dirname);
