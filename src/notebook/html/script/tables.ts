/** Tables sort by their headings and have a search box. */
export const TABLES = `
const collator=new Intl.Collator('en',{numeric:true})
for(const box of document.querySelectorAll('.tablebox')){
 const table=box.querySelector('table'),body=table.tBodies[0],rows=[...body.rows]
 const value=(row,i)=>{const c=row.cells[i];return c.dataset.v!==undefined?Number(c.dataset.v):c.textContent}
 ;[...table.tHead.rows[0].cells].forEach((th,i)=>{
  const button=document.createElement('button');button.type='button';button.textContent=th.textContent;th.textContent='';th.append(button)
  button.addEventListener('click',()=>{
   const down=th.getAttribute('aria-sort')==='ascending'
   for(const other of table.tHead.rows[0].cells)other.removeAttribute('aria-sort')
   th.setAttribute('aria-sort',down?'descending':'ascending')
   const sorted=rows.slice().sort((a,b)=>{const x=value(a,i),y=value(b,i)
    if(x==='')return 1;if(y==='')return -1
    const o=typeof x==='number'&&typeof y==='number'?x-y:collator.compare(String(x),String(y));return down?-o:o})
   body.append(...sorted)})})
 if('search' in box.dataset){
  const tools=document.createElement('div');tools.className='tools'
  const label=document.createElement('label');label.textContent='Search '
  const input=document.createElement('input');input.type='search';label.append(input)
  const count=document.createElement('span');count.setAttribute('role','status');count.textContent=rows.length+' rows'
  tools.append(label,count);box.prepend(tools)
  input.addEventListener('input',()=>{const q=input.value.toLowerCase();let n=0
   for(const row of rows){const hit=row.textContent.toLowerCase().includes(q);row.hidden=!hit;if(hit)n++}
   count.textContent=n+' of '+rows.length+' rows'})}}
`
