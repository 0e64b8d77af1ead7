# Writes tests/scenarios/drawing: ellipses, splines and hatches by ezdxf (MIT), with the points and areas that ezdxf
# computes of them: what the reader of DXF is held against. Run: python3 scripts/make-curves.py (needs ezdxf 1.4).
import ezdxf, math, json, io, os
from ezdxf import path as P
from ezdxf.math import Vec2, BSpline, ConstructionEllipse
doc = ezdxf.new('R2010'); msp = doc.modelspace()
E0,N0 = 7650000.0, 680000.0
def area(pts):
    o=pts[0]; s=0
    for i in range(len(pts)):
        a=pts[i]-o; b=pts[(i+1)%len(pts)]-o
        s+=a.x*b.y-b.x*a.y
    return s/2
exp=[]
def note(name, e, **kw): exp.append(dict(name=name, type=e.dxftype(), **kw))
# 1 ellipse whole, rotated
e=msp.add_ellipse((E0,N0), major_axis=(8,6), ratio=0.35); note('whole ellipse',e,area=math.pi*100*0.35)
# 2 ellipse arc
e=msp.add_ellipse((E0,N0), major_axis=(10,0), ratio=0.5, start_param=0.3, end_param=2.9)
ce=e.construction_tool(); note('ellipse arc', e, start=list(e.start_point)[:2], end=list(e.end_point)[:2], mid=list(list(ce.vertices([1.6]))[0])[:2])
# 3 ellipse arc seen from below
e=msp.add_ellipse((E0,N0), major_axis=(10,2), ratio=0.5, start_param=0.3, end_param=2.9, dxfattribs={'extrusion':(0,0,-1)})
ce=e.construction_tool(); note('ellipse arc from below', e, start=list(e.start_point)[:2], end=list(e.end_point)[:2], mid=list(list(ce.vertices([1.6]))[0])[:2])
# 4 splines
ctrl=[(E0+x,N0+y,z) for x,y,z in [(0,0,1),(5,9,2),(12,-4,3),(18,7,4),(25,0,5),(28,4,6)]]
e=msp.add_spline(); e.set_open_uniform(ctrl, degree=3); bs=e.construction_tool(); 
note('cubic', e, points=[list(p)[:3] for p in bs.points([bs.max_t*i/40 for i in range(41)])])
e=msp.add_spline(); e.set_open_rational(ctrl,[1,3,0.5,2,1,1],degree=4); bs=e.construction_tool()
note('rational quartic', e, points=[list(p)[:3] for p in bs.points([bs.max_t*i/40 for i in range(41)])])
e=msp.add_spline(); e.set_closed([(E0+10*math.cos(t),N0+6*math.sin(t),0) for t in [0.2,1.1,2.3,3.0,4.4,5.5]],degree=3); 
bs=e.construction_tool(); k=bs.knots(); p=bs.degree; lo,hi=k[p],k[-p-1]; pts=[Vec2(q) for q in bs.points([lo+(hi-lo)*i/4000 for i in range(4000)])]; note('closed', e, area=abs(area(pts)))
# hatches
def hatch(name, build, style=0, extr=(0,0,1)):
    h=msp.add_hatch(color=2, dxfattribs={'extrusion':extr,'hatch_style':style}); build(h.paths)
    total=[]
    for p in P.from_hatch(h):
        pts=[Vec2(q) for q in p.flattening(1e-5)]
        if pts[0].isclose(pts[-1]): pts=pts[:-1]
        total.append(abs(area(pts)))
    note(name,h,rings=total)
def poly(paths):
    paths.add_polyline_path([(E0,N0,0),(E0+10,N0,0.5),(E0+10,N0+10,0),(E0,N0+10,-0.25)],is_closed=True, flags=1)
hatch('bulged polyline', poly)
def arcs_ccw(paths):
    ep=paths.add_edge_path(); ep.add_line((E0,N0),(E0+10,N0)); ep.add_arc((E0+5,N0),5,0,180,ccw=True)
hatch('half disc ccw', arcs_ccw)
def arcs_cw(paths):
    ep=paths.add_edge_path(); ep.add_arc((E0+5,N0+1),5,20,130,ccw=False); 
    a=ep.edges[0]; ep.add_line(a.real_end_point,(E0+5,N0+1)); ep.add_line((E0+5,N0+1),a.real_start_point)
hatch('sector cw', arcs_cw)
def ell(paths, ccw):
    ep=paths.add_edge_path(); ep.add_ellipse((E0,N0),major_axis=(9,3),ratio=0.4,start_angle=25,end_angle=250,ccw=ccw)
    a=ep.edges[0]; ep.add_line(a.real_end_point,a.real_start_point)
hatch('ellipse segment ccw', lambda p: ell(p,True))
hatch('ellipse segment cw', lambda p: ell(p,False))
def whole(paths):
    ep=paths.add_edge_path(); ep.add_ellipse((E0,N0),major_axis=(9,3),ratio=0.4,start_angle=0,end_angle=360)
hatch('whole ellipse edge', whole)
def circ(paths):
    ep=paths.add_edge_path(); ep.add_arc((E0,N0),4,0,360,ccw=False)
hatch('whole circle cw', circ)
def spl(paths):
    ep=paths.add_edge_path(); 
    c=[(E0,N0),(E0+3,N0+8),(E0+9,N0+9),(E0+12,N0)]
    ep.add_spline(control_points=c,degree=3,knot_values=[0,0,0,0,1,1,1,1]); ep.add_line(c[-1],c[0])
hatch('spline edge', spl)
def nested(paths):
    for k,f in ((20,1),(14,16),(8,0),(3,0)):
        paths.add_polyline_path([(E0-k,N0-k),(E0+k,N0-k),(E0+k,N0+k),(E0-k,N0+k)],flags=f)
for st in (0,1,2): hatch('nested style %d'%st, nested, st)
hatch('from below', poly, 0, (0,0,-1))
s=io.StringIO(); doc.write(s); t=s.getvalue().replace('\r\n','\n')
i=t.index('  0\nSECTION\n  2\nENTITIES'); j=t.index('ENDSEC',i)
out='999\nmade by ezdxf %s: ellipses, splines and hatches\n'%ezdxf.__version__+'  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n     6\n  0\nENDSEC\n'+t[i:j]+'ENDSEC\n  0\nEOF\n'
to = os.path.join(os.path.dirname(__file__), '..', 'tests', 'scenarios', 'drawing')
open(os.path.join(to, 'curves.dxf'), 'w').write(out)
json.dump(exp, open(os.path.join(to, 'curves.json'), 'w'), indent=1)
print(len(out)); print([ (e['name'],e.get('area'),e.get('rings')) for e in exp])
