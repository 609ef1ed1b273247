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
}

export const drafts = new Drafts()
