declare global {
  namespace App {
    interface Error {
      message: string;
      code?: string;
      hint?: string;
    }
  }
}

export {};
