import { svelte } from '@sveltejs/vite-plugin-svelte'
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

const page = (name: string): string => fileURLToPath(new URL(name, import.meta.url))

// `--mode mock` serves and builds mock.html, which invents an operation for a plain browser;
// the shipped screens are index.html and commander.html and hold nothing of it.
export default defineConfig(({ mode }) => ({
  plugins: [svelte()],
  base: './',
  resolve: process.env['VITEST'] ? { conditions: ['browser'] } : {},
  server: { port: 5173, strictPort: true, open: false },
  build: {
    target: 'es2022',
    outDir: mode === 'mock' ? 'dist-mock' : 'dist',
    emptyOutDir: true,
    // Nothing inlined: the content policy allows files of our own only.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: { input: mode === 'mock' ? page('mock.html') : [page('index.html'), page('commander.html')] },
  },
  test: {
    environment: 'happy-dom',
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/setup.ts'],
  },
}))
