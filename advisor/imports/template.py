"""Our own layout for readings, to download, fill in and paste back."""

#: CSV with invented rows: CCT with Duv, x with y, and a lamp read at two dim levels and two settings.
TEMPLATE = """\
name,kind,cct,duv,x,y,lux,dim %,modifier,dial cct,dial green,note
Window left,daylight,6450,0.0042,,,880,,,,,Invented example: put your own reading here
Desk lamp,tungsten,,,0.4502,0.4095,120,,,,,Invented example: x and y instead of cct and duv
Panel,led-white,5480,-0.0021,,,410,100,softbox,5600,0,Invented example: one source read three times
Panel,,5430,-0.0024,,,205,50,softbox,5600,0,
Panel,,3250,0.0011,,,390,100,softbox,3200,0,
"""
