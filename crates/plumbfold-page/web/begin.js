// Begins the page that is one file: its modules stand in it as text and find each other by a map.

(() => {
  const add = (type, content) => document.head.append(Object.assign(document.createElement('script'), { type, textContent: content }));
  const imports = {};
  for (const { dataset: { module }, textContent } of document.querySelectorAll('script[data-module]')) {
    const code = `${textContent.replaceAll("from './", "from 'plumbfold/")}\n//# sourceURL=plumbfold/${module}`;
    imports[`plumbfold/${module}`] = URL.createObjectURL(new Blob([code], { type: 'text/javascript' }));
  }
  add('importmap', JSON.stringify({ imports }));
  add('module', "import 'plumbfold/main.js'");
})();
