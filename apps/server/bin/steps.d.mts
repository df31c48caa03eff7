/** Types of the start-up steps, for tests. */
export declare const PRISMA_ENV: Readonly<Record<string, string>>;
export declare const buildServer: (say: (line: string) => void) => Promise<void>;
