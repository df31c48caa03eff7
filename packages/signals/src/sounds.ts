/**
 * Sounds that faculty can send to the screens, by name. All are synthesised on the screen that plays them; nothing is
 * recorded from anyone. A name not in this list is shown in words and plays nothing.
 */
export const PLAYED_SOUNDS = [
  { id: 'phone-ringing', says: 'Phone ringing', group: 'room' },
  { id: 'knock-at-the-door', says: 'Knock at the door', group: 'room' },
  { id: 'suction-running', says: 'Suction running', group: 'room' },
  { id: 'oxygen-hiss', says: 'Oxygen flowing', group: 'room' },
  { id: 'something-falls', says: 'Something falls', group: 'room' },
  { id: 'infusion-pump', says: 'Pump calling', group: 'room' },
  { id: 'crying-child', says: 'Child crying', group: 'patient' },
  { id: 'coughing', says: 'Coughing', group: 'patient' },
  { id: 'barking-cough', says: 'Barking cough', group: 'patient' },
  { id: 'stridor', says: 'Stridor, heard from the bedside', group: 'patient' },
  { id: 'wheeze', says: 'Wheeze, heard from the bedside', group: 'patient' },
  { id: 'gurgling', says: 'Gurgling airway', group: 'patient' },
  { id: 'grunting', says: 'Grunting', group: 'patient' },
  { id: 'gasping', says: 'Gasping', group: 'patient' },
  { id: 'vomiting', says: 'Vomiting', group: 'patient' },
] as const;
export type PlayedSound = (typeof PLAYED_SOUNDS)[number]['id'];

/** Words for a sound's name; the name itself, spaced, when it is not one of ours. */
export function soundWords(name: string): string {
  return PLAYED_SOUNDS.find((sound) => sound.id === name)?.says ?? name.replaceAll('-', ' ');
}
