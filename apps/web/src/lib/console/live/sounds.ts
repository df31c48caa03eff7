/** Sounds faculty can send to the learners' screens, which make them there. Ids are what the screens know. */
export const SOUNDS: readonly { readonly id: string; readonly label: string }[] = [
  { id: 'phone', label: 'Phone' },
  { id: 'alarm', label: 'Alarm tone' },
];
