/** What the page of guideline packs asks of the server. */
import type { PackCopied, PackFiles } from '@breathline/protocol';
import { call } from '../api/client.ts';

const seg = encodeURIComponent;

export const packsApi = {
  files: () => call<PackFiles>('GET', '/api/packs'),
  fork: (id: string, body: { as: string; title?: string }) =>
    call<PackCopied>('POST', `/api/packs/${seg(id)}/fork`, body),
  file: (id: string) => `/api/packs/${seg(id)}/file`,
  copyFile: (id: string, as: string) => `/api/packs/${seg(id)}/file?as=${seg(as)}`,
};
