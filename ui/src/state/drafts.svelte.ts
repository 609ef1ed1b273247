// Words that were typed and not yet recorded, kept while the scribe looks at another screen.

class Drafts {
  #file = $state('')
  #words = $state<Record<string, string>>({})

  /** Another operation begins with empty fields. */
  of(file: string): void {
    if (this.#file === file) return
    this.#file = file
    this.#words = {}
  }

  get(name: string): string {
    return this.#words[name] ?? ''
  }

  set(name: string, words: string): void {
    this.#words[name] = words
  }

  /** The words of one form about an operation. */
  kept(file: string, form: string): Kept {
    this.of(file)
    return new Kept(this, form)
  }

  /** Empties every field whose name begins so. */
  forget(begin: string): void {
    for (const name of Object.keys(this.#words)) if (name.startsWith(begin)) this.#words[name] = ''
  }
}

/** What is half written in a form, field by field. */
export class Kept {
  readonly #drafts: Drafts
  readonly #begin: string

  constructor(drafts: Drafts, form: string) {
    this.#drafts = drafts
    this.#begin = `${form}: `
  }

  get(field: string): string {
    return this.#drafts.get(this.#begin + field)
  }

  /** The same as it would be recorded. */
  said(field: string): string {
    return this.get(field).trim()
  }

  set(field: string, words: string): void {
    this.#drafts.set(this.#begin + field, words)
  }

  /** Recorded, or given up. */
  clear(): void {
    this.#drafts.forget(this.#begin)
  }
}

export const drafts = new Drafts()
