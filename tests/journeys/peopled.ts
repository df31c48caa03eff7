/** The shipped scenarios, one of them with people around the patient of this test's own: callers, family, things to show. */
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { parseDocument } from 'yaml';

const ROOT = path.resolve(import.meta.dirname, '../..');
const FILE = 'cashew-cookery-club.yaml';

const AROUND = {
  family: [
    {
      who: 'Mother',
      says: 'Frightened, answers when asked.',
      distress: 'worried',
      history: [
        { id: 'asthma', 'if-asked': 'About asthma', says: 'He has a blue inhaler. He used it a lot this week.' },
      ],
      worries: [{ id: 'voice', says: 'His voice sounds different.', why: 'The airway swells: look at A again.' }],
    },
  ],
  calls: [
    {
      id: 'childrens-doctor',
      title: 'The children’s doctor on call',
      'picks-up': 'The registrar, in clinic',
      'answers-after': '20 s',
      asks: ['How old, and what weight?'],
      does: 'Comes from clinic and wants a second dose ready.',
      'arrives-after': '60 s',
    },
    {
      id: 'advice',
      title: 'The advice line',
      'picks-up': 'An adviser',
      'answers-after': '40 s',
      does: 'Gives advice on the phone.',
    },
  ],
  exhibits: [
    { id: 'skin', title: 'Skin of the chest', kind: 'appearance', text: 'Raised weals over chest and neck.' },
    { id: 'card', title: 'Allergy card', kind: 'document', text: 'Cashew, two years ago.' },
  ],
  behaviours: [
    { id: 'reads-back', says: 'Orders are read back before they are done' },
    { id: 'leads', says: 'One person leads and says so' },
    { id: 'sums-up', says: 'The leader stops and sums up aloud' },
  ],
  arrest: 'ask-faculty',
};

const made: string[] = [];
process.on('exit', () => {
  for (const folder of made) rmSync(folder, { recursive: true, force: true });
});

/** A folder of scenarios for a server, gone when the tests are done. */
export const peopledScenarios = (): string => {
  const folder = mkdtempSync(path.join(tmpdir(), 'breathline-peopled-'));
  made.push(folder);
  cpSync(path.join(ROOT, 'scenarios'), folder, { recursive: true });
  const file = path.join(folder, FILE);
  const doc = parseDocument(readFileSync(file, 'utf8'));
  for (const [key, value] of Object.entries(AROUND)) doc.set(key, value);
  writeFileSync(file, String(doc));
  return folder;
};
