// A rig that is being made or changed and not yet recorded, kept while the scribe looks at another screen.

export interface RigDraft {
  /** The rig that is changed; `null` makes a new one. */
  of: string | null
  template: string
  name: string
  values: Record<string, string>
}

class Kept {
  #file = ''
  #draft: RigDraft | null = null

  /** The draft of this operation; another operation begins with none. */
  of(file: string): RigDraft | null {
    if (this.#file !== file) this.#draft = null
    this.#file = file
    return this.#draft
  }

  keep(draft: RigDraft): void {
    this.#draft = draft
  }

  drop(): void {
    this.#draft = null
  }
}

export const rigDraft = new Kept()
